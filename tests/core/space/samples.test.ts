import { describe, expect, it } from 'vitest';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { spaceLedger } from '../../../src/core/space/spaceLedger.ts';
import { makeArch } from '../../../src/samples/makeArch.ts';
import { sampleMarks } from '../../support/sampleMarks.ts';

/** Balance of a generated arch with its true contact points as marks, less its true balance, mm. */
function balanceErrorMm(seed: number): number {
  const { truth } = makeArch({
    jaw: seed % 2 ? 'lower' : 'upper',
    seed,
    crowdingMm: (seed * 0.7) % 5,
    triangles: 20_000,
    pose: 'any',
  });
  const measures = measureArch({
    jaw: truth.jaw,
    frame: truth.frame,
    marks: sampleMarks(truth).marks.map((mark) => ({ ...mark, state: 'confirmed', confidence: null })),
    missing: [],
    enteredWidths: [],
    form: 'spline',
    markSdMm: 0.07,
    medianEdgeMm: 0.2,
  });
  const chart = { missing: [], unerupted: [], enteredWidths: [] };
  const ledger = spaceLedger({ measures, chart, perimeter: 'line', allowances: [] });
  return ledger.differenceMm! - truth.space.differenceMm;
}

describe('space account of generated arches, crowded by 0.6 to 4.9 mm', () => {
  it('seeds 1–10: balance within 0.4 mm of the truth, RMS 0.25 mm', () => {
    const errors = Array.from({ length: 10 }, (_, i) => balanceErrorMm(i + 1));
    for (const [i, error] of errors.entries()) expect(Math.abs(error), `seed ${i + 1}`).toBeLessThan(0.4);
    expect(Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length)).toBeLessThan(0.25);
  });
});
