import { describe, expect, it } from 'vitest';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { spaceLedger } from '../../../src/core/space/spaceLedger.ts';
import type { ArchRecipe } from '../../../src/samples/ArchRecipe.ts';
import { recipeTruth } from '../../support/recipeTruth.ts';
import { sampleMarks } from '../../support/sampleMarks.ts';

/** Balance of a generated arch with its true contact points as marks, less its true balance, mm; and its SD. */
function balance(recipe: ArchRecipe): { readonly errorMm: number; readonly sdMm: number } {
  const truth = recipeTruth(recipe);
  const measures = measureArch({
    jaw: truth.jaw,
    frame: truth.frame,
    marks: sampleMarks(truth).marks.map((mark) => ({ ...mark, state: 'confirmed', confidence: null })),
    missing: [],
    enteredWidths: [],
    form: 'spline',
    forms: ['spline'],
    markSdMm: 0,
    medianEdgeMm: 0,
  });
  const chart = { missing: [], unerupted: [], enteredWidths: [] };
  const ledger = spaceLedger({ measures, chart, perimeter: 'line', allowances: [] });
  return { errorMm: ledger.differenceMm! - truth.space.differenceMm, sdMm: ledger.sdMm! };
}

const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);

// The marks are exact: all that errs is the line, and what of it straight teeth can use.
describe('space account of generated arches, twenty-four of a kind', () => {
  it.each([
    ['aligned', {}, 0.1, 0.2],
    ['spaced 4 mm', { spacingMm: 4 }, 0.1, 0.2],
    ['crowded 2 mm', { crowdingMm: 2 }, 0.25, 0.5],
    ['crowded 4 mm', { crowdingMm: 4 }, 0.32, 0.75],
    ['crowded 6 mm', { crowdingMm: 6 }, 0.38, 0.85],
  ] as const)('%s: without bias', { timeout: 120_000 }, (kind, shape, rmsMm, worstMm) => {
    const got = Array.from({ length: 24 }, (_, i) =>
      balance({ jaw: i % 2 ? 'lower' : 'upper', seed: 2000 + i, ...shape }),
    );
    const errors = got.map((g) => g.errorMm);
    const mean = errors.reduce((sum, e) => sum + e, 0) / errors.length;
    const worst = errors.reduce((most, e) => Math.max(most, Math.abs(e)), 0);
    const stated = rms(got.map((g) => g.sdMm));
    console.info(
      `balance, ${kind}: mean ${mean.toFixed(2)} RMS ${rms(errors).toFixed(2)} worst ${worst.toFixed(2)} stated SD ${stated.toFixed(2)} mm`,
    );
    expect(Math.abs(mean)).toBeLessThan(0.2);
    expect(rms(errors)).toBeLessThan(rmsMm);
    expect(worst).toBeLessThan(worstMm);
    expect(stated).toBeGreaterThan(0.75 * rms(errors));
    if (kind.startsWith('crowded')) expect(stated).toBeLessThan(2.5 * rms(errors));
  });
});
