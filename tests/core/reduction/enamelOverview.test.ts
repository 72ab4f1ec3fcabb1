import { describe, expect, it } from 'vitest';
import { enamelOverview } from '../../../src/core/reduction/enamelOverview.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { type ContactChoice, reductionRequest } from '../../../src/core/reduction/reductionRequest.ts';
import { makeChoice } from '../../support/reductionRequests.ts';

const built = (contacts: readonly ContactChoice[], neededMm = 1) => {
  const { request, limits } = reductionRequest({
    jaw: 'lower',
    ledger: null,
    present: [42, 41, 31, 32],
    settings: { neededMm, stepMm: 0.1, overshootRisk: 0.05, visits: 6, perVisitLimitMm: 0.5, contacts },
  });
  return { limits, rows: enamelOverview(limits, planReduction(request)) };
};

describe('enamel of every surface', () => {
  it('published mean, limit, planned and left add up; two rows a contact, right to left', () => {
    const { rows } = built([]);
    expect(rows.map(({ tooth, surface }) => `${tooth} ${surface}`)).toEqual([
      '42 mesial',
      '41 distal',
      '41 mesial',
      '31 mesial',
      '31 distal',
      '32 mesial',
    ]);
    // Vellini-Ferreira 2012: lower central incisor, mesial, 0.675 (SD 0.144).
    const middle = rows[2];
    expect(middle).toMatchObject({ enamelMm: 0.675, sdMm: 0.144, limitMm: 0.3375, limitFrom: 'half-enamel' });
    for (const row of rows) {
      expect(row.leftMm).toBeCloseTo(row.enamelMm! - row.earlierMm - row.plannedMm, 9);
      expect(row.takenShare!).toBeLessThanOrEqual(0.5 + 1e-9);
      expect(row.stricter).toBe('contact'); // 0.5 mm is less than both surfaces allow
    }
    expect(rows.reduce((sum, row) => sum + row.plannedMm, 0)).toBeCloseTo(1, 9);
  });

  it('a radiograph takes the place of the mean: half of it, less what was taken earlier', () => {
    const thin = makeChoice({ enamelMm: [0.5, null], earlierReductionMm: [0.1, 0.1] });
    const { limits, rows } = built([thin], 5);
    // 0.5 / 2 − 0.1 and 0.675 / 2 − 0.1.
    expect(limits[1].surfacesMm[0]).toBeCloseTo(0.15, 9);
    expect(limits[1].surfacesMm[1]).toBeCloseTo(0.2375, 9);
    expect(limits[1].surfaceFrom).toEqual(['half-radiograph', 'half-enamel-less-earlier']);
    expect(limits[1].exceedsDefault).toBe(false);
    expect(rows[2]).toMatchObject({ enamelMm: 0.5, sdMm: null, earlierMm: 0.1, stricter: 'surfaces' });
    expect(rows[2].source?.text).toContain('radiograph');
    expect(rows[2].reason).toMatch(/^surfaces, 0\.39 mm \(contact 0\.50\)$/);
    expect(rows[2].plannedMm + rows[3].plannedMm).toBeCloseTo(0.3, 9);
  });

  it('a choice that names the teeth the other way round holds for the right ones', () => {
    const { limits } = built([makeChoice({ teeth: [31, 41], enamelMm: [null, 0.4] })]);
    expect(limits[1].radiographMm).toEqual([0.4, null]);
  });

  it('enamel that nobody knows of is not invented: a primary tooth has a limit only by a radiograph', () => {
    const { limits } = reductionRequest({
      jaw: 'lower',
      ledger: null,
      present: [74, 75],
      settings: {
        neededMm: 1,
        stepMm: 0.1,
        overshootRisk: 0.05,
        visits: 2,
        perVisitLimitMm: 0.5,
        contacts: [makeChoice({ teeth: [74, 75], enamelMm: [0.8, null] })],
      },
    });
    expect(limits[0].surfacesMm).toEqual([0.4, 0]);
    const rows = enamelOverview(limits, null);
    expect(rows[0]).toMatchObject({ enamelMm: 0.8, leftMm: 0.8 });
    expect(rows[1]).toMatchObject({ enamelMm: null, leftMm: null, takenShare: null });
  });
});
