import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Refusal } from '../../../src/core/base/refusal.ts';
import { distance } from '../../../src/core/base/Vec3.ts';
import { archAccount, caseAccount, recordMeasures } from '../../../src/core/casefile/archAccount.ts';
import type { ArchRecord } from '../../../src/core/casefile/CaseDocument.ts';
import { caseJson, documentJson } from '../../../src/core/casefile/documentJson.ts';
import { marksFile, marksIntoReading } from '../../../src/core/casefile/marksFile.ts';
import { measurementFile } from '../../../src/core/casefile/measurementFile.ts';
import { emptyCase, newArchRecord } from '../../../src/core/casefile/newCase.ts';
import { presentTeeth } from '../../../src/core/casefile/presentTeeth.ts';
import { readDocument } from '../../../src/core/casefile/readDocument.ts';
import {
  archTable,
  contactsTable,
  planTable,
  spaceTable,
  widthsTable,
} from '../../../src/core/casefile/tables.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import type { ScanFacts } from '../../../src/core/scan/ScanMesh.ts';
import type { ArchRecipe } from '../../../src/samples/ArchRecipe.ts';
import { archTruth } from '../../../src/samples/archTruth.ts';
import { arrangeTeeth } from '../../../src/samples/arrangeTeeth.ts';
import { fullRecipe } from '../../../src/samples/fullRecipe.ts';
import type { SampleTruth } from '../../../src/samples/sampleTruth.ts';
import { sampleMarks } from '../../support/sampleMarks.ts';

const facts: ScanFacts = {
  file: 'sample.ply',
  sha256: 'a'.repeat(64),
  format: 'ply-binary-le',
  byteCount: 1000,
  unit: 'mm',
  triangles: 20_000,
  vertices: 10_000,
};

/** Truth of an arch in the patient's upright; no mesh is made, the marks carry it all. */
function truthOf(recipe: ArchRecipe): SampleTruth {
  const full = fullRecipe(recipe);
  const x = recipe.jaw === 'lower' ? 1 : -1;
  const upright = { x: [x, 0, 0], y: [0, 1, 0], z: [0, 0, x], originMm: [0, 0, 0] } as const;
  return archTruth(full, arrangeTeeth(full), upright, null);
}

const crowded = truthOf({ jaw: 'lower', seed: 3, crowdingMm: 2 });
const spaced = truthOf({ jaw: 'upper', seed: 5, spacingMm: 2.5 });

const recordOf = (truth: SampleTruth, change: Partial<ArchRecord> = {}): ArchRecord => ({
  ...newArchRecord({ jaw: truth.jaw, scan: facts, medianEdgeMm: 0.2, frame: truth.frame }),
  readings: [marksIntoReading(sampleMarks(truth), truth.jaw)],
  ...change,
});

const measured = (record: ArchRecord) => {
  const account = archAccount(record);
  return measurementFile(account.measures, facts, account.ledger, record.form);
};

describe('archAccount', () => {
  it.each([
    ['crowded', crowded],
    ['spaced', spaced],
  ])('agrees with the truth of a generated %s arch', (_, truth) => {
    const file = measured(recordOf(truth));
    for (const tooth of truth.teeth) {
      const found = file.teeth.find((t) => t.tooth === tooth.tooth)!;
      expect(found).toMatchObject({ mesialMm: tooth.mesialMm, distalMm: tooth.distalMm, source: 'marked' });
      expect(found.widthMm).toBeCloseTo(distance(tooth.mesialMm, tooth.distalMm), 9);
      // The truth is the extent along the crown's own axis: the straight distance is never below it, and above
      // it by no more than the contact points stand off that axis.
      expect(found.widthMm).toBeGreaterThan(tooth.widthMm - 1e-5);
      expect(found.widthMm).toBeLessThan(tooth.widthMm + 0.1);
    }
    expect(file.contacts).toHaveLength(truth.contacts.length);
    for (const contact of truth.contacts) {
      const found = file.contacts.find((c) => String(c.teeth) === String(contact.teeth));
      expect(found!.displacementMm).toBeCloseTo(contact.displacementMm, 5);
      expect(Math.abs(found!.separationMm! - contact.alongArchMm)).toBeLessThan(0.1);
    }
    const { arch } = truth;
    expect(file.arch.irregularityMm).toBeCloseTo(arch.irregularityMm!, 5);
    expect(file.arch.intercanineMm).toBeCloseTo(arch.intercanineMm!, 5);
    expect(file.arch.intermolarMm).toBeCloseTo(arch.intermolarMm!, 5);
    // Within three of the account's own SDs, and 0.5 mm whatever it claims; how far heavier crowding pulls the
    // line is measured in tests/core/measure/samples.test.ts.
    const fault = Math.abs(file.space.differenceMm! - truth.space.differenceMm);
    expect(fault).toBeLessThan(Math.min(0.5, 3 * file.space.sdMm!));
    expect(file.space.differenceMm).toBeCloseTo(file.space.availableMm! - file.space.requiredMm!, 9);
  });

  it('asks for the shortage it found, and the plan stays below it', () => {
    const { ledger, asked, notAsked } = archAccount(recordOf(crowded));
    expect(notAsked).toBeNull();
    expect(asked!.request.neededMm).toBeCloseTo(-ledger.differenceMm!, 9);
    expect(asked!.request.neededSdMm).toBeCloseTo(ledger.sdMm!, 9);
    const plan = planReduction(asked!.request);
    expect(plan.plannedMm).toBeGreaterThan(0);
    expect(plan.plannedMm).toBeLessThanOrEqual(asked!.request.neededMm);
    for (const [kind, document] of [
      ['reduction-request', asked!.request],
      ['reduction-plan', plan],
    ] as const)
      expect(readDocument(documentJson(document, kind), kind)).toEqual(document);
  });

  it('says what is missing instead of asking', () => {
    const record = recordOf(crowded);
    const [reading] = record.readings;
    const marks = reading.marks.filter((mark) => mark.tooth !== 36);
    const { measures, ledger, asked, notAsked } = archAccount({
      ...record,
      readings: [{ ...reading, marks }],
    });
    expect(ledger.differenceMm).toBeNull();
    expect(asked).toBeNull();
    expect(notAsked).toMatchObject({ code: 'request-invalid' });
    expect(notAsked!.message).toContain('missing: ');
    expect(measurementFile(measures, facts, ledger, record.form).warnings).toContainEqual({
      code: 'line-missing',
      message: expect.stringContaining('36'),
    });
  });

  it('reads only the active reading', () => {
    const record = recordOf(crowded);
    const empty = { observer: 'b', repeat: 1, marks: [] };
    const readings = [...record.readings, empty];
    expect(archAccount({ ...record, readings })).toEqual(archAccount(record));
    expect(recordMeasures({ ...record, readings, activeReading: 1 }).teeth).toEqual([]);
  });

  it('gives the same numbers after the case went through its file', () => {
    const document = {
      ...emptyCase('c-1', '2025-01-31T09:00:00.000Z'),
      arches: { upper: recordOf(spaced), lower: recordOf(crowded) },
    };
    expect(caseAccount(readDocument(caseJson(document), 'case'))).toEqual(caseAccount(document));
  });

  it('gives a case the accounts of its arches and the ratio of its widths', () => {
    const upper = recordOf(spaced);
    const lower = recordOf(crowded);
    const document = { ...emptyCase('c-1', '2025-01-31T09:00:00.000Z'), arches: { upper, lower } };
    const account = caseAccount(document);
    expect(account.lower!.measures).toEqual(recordMeasures(lower));
    expect(account.upper!.ledger).toEqual(archAccount(upper).ledger);
    const sum = (record: ArchRecord) =>
      recordMeasures(record)
        .teeth.filter((t) => t.tooth % 10 <= 6)
        .reduce((total, t) => total + t.widthMm, 0);
    expect(account.ratios!.overall.percent).toBeCloseTo((100 * sum(lower)) / sum(upper), 9);
    expect(caseAccount({ ...document, arches: { upper: null, lower } })).toMatchObject({
      upper: null,
      ratios: null,
    });
  });
});

describe('measurementFile', () => {
  const WHY: Readonly<Record<string, readonly string[]>> = {
    lineLengthMm: ['line-missing', 'form-not-fitted'],
    fitRmsMm: ['line-missing', 'form-not-fitted'],
    fourSegmentsMm: ['four-segments-missing'],
    sixSegmentsMm: ['six-segments-missing'],
    irregularityMm: ['irregularity-missing'],
    depthMm: ['depth-missing'],
    intercanineMm: ['intercanine-missing'],
    intermolarMm: ['intermolar-missing'],
  };

  it('is null with a warning, never 0, whatever marks are missing', () => {
    const all = sampleMarks(crowded).marks;
    fc.assert(
      fc.property(fc.subarray([...all]), (marks) => {
        const reading = marksIntoReading({ schema: 'archledger/marks@1', jaw: 'lower', marks }, 'lower');
        const file = measured(recordOf(crowded, { readings: [reading] }));
        expect(readDocument(documentJson(file, 'measurement'), 'measurement')).toEqual(file);
        const codes = file.warnings.map(({ code }) => code);
        for (const [field, value] of Object.entries(file.arch)) {
          expect(value).not.toBe(0);
          if (value === null)
            expect(
              WHY[field].some((code) => codes.includes(code)),
              field,
            ).toBe(true);
        }
        for (const value of Object.values(file.space)) {
          expect(value).not.toBe(0);
          if (value === null) expect(codes).toContain('space-missing');
        }
        for (const contact of file.contacts)
          if (contact.separationMm === null || contact.displacementMm === null)
            expect(codes).toContain('contact-missing');
      }),
      { seed: 7, numRuns: 150 },
    );
  });
});

describe('presentTeeth', () => {
  const record = recordOf(crowded);
  const present = (chart: Partial<ArchRecord['chart']>, marks = record.readings[0].marks) =>
    presentTeeth({
      ...record,
      chart: { ...record.chart, ...chart },
      readings: [{ ...record.readings[0], marks }],
    });

  it('is the row of permanent teeth, without what is missing or unerupted', () => {
    expect(present({})).toEqual([47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37]);
    expect(present({ missing: [41], unerupted: [35] })).toEqual([
      47, 46, 45, 44, 43, 42, 31, 32, 33, 34, 36, 37,
    ]);
    expect(present({ thirdMolars: [48] })[0]).toBe(48);
  });

  it('lets a marked primary tooth stand in the place of an unmarked permanent one', () => {
    const [mark] = record.readings[0].marks;
    const primary = { ...mark, tooth: 75 };
    const rest = record.readings[0].marks.filter((m) => m.tooth !== 35);
    expect(present({}, [...rest, primary])).toContain(75);
    expect(present({}, [...rest, primary])).not.toContain(35);
    expect(present({}, [...record.readings[0].marks, primary])).not.toContain(75);
    expect(present({ unerupted: [35] }, [...rest, primary])).toContain(75);
  });
});

describe('marksFile', () => {
  it('carries confirmed marks there and back, and no proposals', () => {
    const reading = marksIntoReading(sampleMarks(crowded), 'lower', 'A', 2);
    expect(reading).toMatchObject({ observer: 'A', repeat: 2 });
    const [first, ...others] = reading.marks;
    const mixed = { ...reading, marks: [{ ...first, state: 'proposed' as const }, ...others] };
    const file = marksFile(mixed, 'lower');
    expect(file.marks).toEqual(sampleMarks(crowded).marks.slice(1));
    expect(readDocument(documentJson(file, 'marks'), 'marks')).toEqual(file);
  });

  it('refuses marks of the other jaw', () => {
    expect(() => marksIntoReading(sampleMarks(crowded), 'upper')).toThrow(Refusal);
    expect(() => marksIntoReading(sampleMarks(crowded), 'upper')).toThrow(/got lower, need upper/);
  });
});

describe('tables', () => {
  const record = recordOf(crowded);
  const { measures, ledger, asked } = archAccount(record);
  const plan = planReduction(asked!.request);
  const tables = [
    widthsTable(measures),
    contactsTable(measures),
    archTable(measures),
    spaceTable(ledger),
    planTable(plan, asked!.limits),
  ];

  it('have one cell for every header', () => {
    for (const { name, header, rows } of tables) {
      expect(rows.length, name).toBeGreaterThan(2);
      for (const row of rows) expect(row, name).toHaveLength(header.length);
    }
  });

  it('carry the numbers of the account', () => {
    const [widths, contacts, arch, space, planned] = tables;
    const first = measures.teeth[0];
    expect(widths.rows[0].slice(0, 2)).toEqual(['47', Math.round(first.widthMm * 1000) / 1000]);
    expect(contacts.rows.map((row) => `${row[0]}-${row[1]}`)).toContain('41-31');
    expect(arch.rows.find((row) => row[0] === 'irregularity')![1]).toBeCloseTo(
      measures.irregularity!.valueMm,
      3,
    );
    const sum = space.rows.slice(0, -1).reduce((total, row) => total + (row[1] as number), 0);
    expect(space.rows.at(-1)![1]).toBeCloseTo(sum, 2);
    expect(planned.rows.at(-1)![2]).toBeCloseTo(plan.plannedMm, 9);
    expect(planned.rows.at(-1)![3]).toBeCloseTo(plan.heldBackMm, 9);
    expect(widthsTable(measures, 'universal').rows[0][0]).toBe('31');
  });
});
