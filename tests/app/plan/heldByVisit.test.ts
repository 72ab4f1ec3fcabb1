import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { heldByVisit } from '../../../src/app/plan/heldByVisit.ts';

const contact = (byVisit: readonly number[], held: number) => ({
  teeth: [42, 41] as const,
  totalMm: byVisit.reduce((a, b) => a + b, 0),
  surfacesMm: [0, 0] as const,
  byVisitMm: byVisit,
  heldBackMm: held,
});

describe('heldByVisit', () => {
  it('finds what is held back in the last visits', () => {
    expect(heldByVisit(contact([0.3, 0.1, 0, 0.1], 0.2))).toEqual([0, expect.closeTo(0.1, 9), 0, 0.1]);
    expect(heldByVisit(contact([0.3, 0, 0, 0], 0))).toEqual([0, 0, 0, 0]);
  });

  it('adds up to what is held back and never exceeds a visit', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 5 }), { minLength: 1, maxLength: 6 }),
        fc.nat(),
        (tenths, pick) => {
          const byVisit = tenths.map((t) => t / 10);
          const total = tenths.reduce((a, b) => a + b, 0);
          const held = (pick % (total + 1)) / 10;
          const found = heldByVisit(contact(byVisit, held));
          expect(found.reduce((a, b) => a + b, 0)).toBeCloseTo(held, 9);
          found.forEach((part, i) => {
            expect(part).toBeLessThanOrEqual(byVisit[i] + 1e-9);
          });
        },
      ),
      { seed: 11 },
    );
  });
});
