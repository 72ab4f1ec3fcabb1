import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import { validationStudy } from '../support/validationExperiment.ts';
import { VALIDATION_FROM, VALIDATION_TO, type Validation, validationReport } from './validationReport.ts';

const besides = (name: string): string => readFileSync(fileURLToPath(new URL(name, import.meta.url)), 'utf8');

it('README tells the study as it was found', () => {
  const kept = JSON.parse(besides('./validation.json')) as Validation;
  const section = besides('../../README.md').split(VALIDATION_FROM)[1].split(VALIDATION_TO)[0];
  expect(section.trim()).toBe(validationReport(kept));
});

// The experiment of validation.ts in small: six arches, one of each kind.
describe('widths against truth and in repeat readings, seeds 60001–60006', () => {
  let found: Validation;
  beforeAll(() => {
    found = validationStudy(6);
  }, 300_000);
  const pooled = (i: number) => found.results[i].groups[0].figures;

  it('every tooth is proposed and measured', () => {
    expect(found).toMatchObject({ teeth: 84, unproposed: 0 });
    expect(found.results.map(({ groups }) => groups[0].figures.n)).toEqual([84, 84, 84, 84, 84]);
  });

  it('proposed and snapped widths have no bias that matters, and spread less than raw clicks', () => {
    for (const i of [0, 1]) {
      expect(found.results[i].equivalence.isEquivalent).toBe(true);
      expect(Math.abs(pooled(i).bias!)).toBeLessThan(0.05);
      expect(pooled(i).agreement!.sd).toBeLessThan(0.15);
      expect(pooled(i).agreement!.sd).toBeLessThan(pooled(2).agreement!.sd);
    }
  });

  it('snapping makes readings repeatable', () => {
    expect(pooled(3).dahlberg!).toBeLessThan(0.09);
    expect(pooled(3).dahlberg!).toBeLessThan(0.6 * pooled(4).dahlberg!);
    expect(pooled(3).icc!.single2.value!).toBeGreaterThan(0.995);
  });
});
