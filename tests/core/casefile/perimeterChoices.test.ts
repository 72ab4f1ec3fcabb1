import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { archAccount, recordMeasures } from '../../../src/core/casefile/archAccount.ts';
import { perimeterChoices } from '../../../src/core/casefile/perimeterChoices.ts';
import { readDocument } from '../../../src/core/casefile/readDocument.ts';

const demo = readDocument(readFileSync('sample-meshes/lower-crowded.case.json', 'utf8'), 'case').arches
  .lower!;

describe('ways of measuring the space available', () => {
  const rows = perimeterChoices(demo, null);

  it('each row is what the account gives once the choice is made', () => {
    expect(rows).toHaveLength(8);
    for (const row of rows) {
      const switched = { ...demo, perimeter: row.perimeter, form: row.form ?? demo.form };
      const { ledger } = archAccount(switched, recordMeasures(switched));
      expect(row.balanceMm, `${row.perimeter} ${row.form}`).toBeCloseTo(ledger.differenceMm!, 12);
      expect(row.balanceSdMm).toBeCloseTo(ledger.sdMm!, 12);
      expect(row.available!.valueMm).toBeCloseTo(ledger.availableMm!, 12);
    }
  });

  it('differences are from the chosen one, which is one of them', () => {
    const chosen = rows.filter(({ isChosen }) => isChosen);
    expect(chosen).toHaveLength(1);
    expect(chosen[0]).toMatchObject({ perimeter: demo.perimeter, form: demo.form, differenceMm: 0 });
    for (const row of rows)
      expect(row.differenceMm!).toBeCloseTo(row.available!.valueMm - chosen[0].available!.valueMm, 9);
  });

  it('without marks every row is empty, none is 0', () => {
    const bare = { ...demo, readings: [{ ...demo.readings[0], marks: [] }], activeReading: 0 };
    for (const row of perimeterChoices(bare, null))
      expect(row).toMatchObject({ available: null, balanceMm: null, differenceMm: null });
  });
});
