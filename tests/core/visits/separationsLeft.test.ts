import { describe, expect, it } from 'vitest';
import type { ArchMeasures } from '../../../src/core/measure/ArchMeasures.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import { separationsLeft, turnedMm } from '../../../src/core/visits/separationsLeft.ts';
import { LOWER_CONTACTS, makeMeasure } from '../../support/visitCases.ts';

const teeth = [46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36];

/** A lower arch on a circle of 24 mm, teeth 6 mm wide and 0.1 mm apart; one may be turned about its middle, one moved outward. */
function circleArch(
  turned: { tooth: number; angleRad: number } | null = null,
  moved: { tooth: number; outMm: number } | null = null,
): ArchMeasures {
  const radius = 24;
  const step = 6.1 / radius;
  const half = 3 / radius;
  const marks = teeth.flatMap((tooth, i) => {
    const at = Math.PI / 2 - 5.5 * step + i * step;
    return (['first', 'second'] as const).map((end) => {
      const sign = end === 'first' ? -1 : 1;
      const angle = at + sign * half;
      const out = moved?.tooth === tooth ? moved.outMm : 0;
      let point = [
        radius * Math.cos(angle) + out * Math.cos(at),
        radius * Math.sin(angle) + out * Math.sin(at),
        0,
      ] as [number, number, number];
      if (turned?.tooth === tooth) {
        const centre = [radius * Math.cos(half) * Math.cos(at), radius * Math.cos(half) * Math.sin(at)];
        const [dx, dy] = [point[0] - centre[0], point[1] - centre[1]];
        const [c, s] = [Math.cos(turned.angleRad), Math.sin(turned.angleRad)];
        point = [centre[0] + c * dx - s * dy, centre[1] + s * dx + c * dy, 0];
      }
      const right = tooth > 40;
      const site = (end === 'first') === right ? ('distal' as const) : ('mesial' as const);
      return { tooth, site, pointMm: point, state: 'confirmed' as const, confidence: null };
    });
  });
  return measureArch({
    jaw: 'lower',
    frame: { originMm: [0, 0, 0], occlusal: [0, 0, 1], forward: [0, 1, 0] },
    marks,
    missing: [],
    enteredWidths: [],
    form: 'spline',
    forms: [],
    markSdMm: 0.05,
    medianEdgeMm: 0.2,
  });
}

const apart = (valueMm: number) =>
  makeMeasure(
    LOWER_CONTACTS.map((contact) => ({ teeth: contact, separationAfter: { valueMm, sdMm: 0.05 } })),
  );

describe('separations left in an arch', () => {
  it('teeth on the line: their sum is the excess', () => {
    const found = separationsLeft(apart(0.1), circleArch(), LOWER_CONTACTS);
    expect(found.why).toBeNull();
    // Marks exact, teeth straight on a circle: almost nothing hidden.
    expect(found.shortage?.valueMm).toBeCloseTo(-1.1, 1);
    expect(found.shortage?.sdMm).toBeGreaterThanOrEqual(0.05 * Math.sqrt(11) - 1e-9);
    expect(found.shortage?.sdMm).toBeLessThan(0.25);
  });

  it('a turned tooth needs more room along the line: by its width less its length along it', () => {
    const angleRad = 0.45;
    const straight = turnedMm(circleArch());
    const turned = turnedMm(circleArch({ tooth: 41, angleRad }));
    expect(straight).toBeLessThan(0.02);
    expect(turned - straight).toBeCloseTo(6 * (1 - Math.cos(angleRad)), 1);
    expect(separationsLeft(apart(0.1), circleArch({ tooth: 41, angleRad }), LOWER_CONTACTS)).toEqual({
      shortage: null,
      why: 'teeth still stand off the arch line',
    });
  });

  it('a front tooth that stepped off the line hides room along it; a little is counted, much is refused', () => {
    // Round contacts of 1 mm radius: a step d across saves 2 − √(4 − d²) along, at both contacts of the tooth.
    const hidden = (d: number) => 2 * (2 - Math.sqrt(4 - d * d));
    const onLine = separationsLeft(apart(0), circleArch(), LOWER_CONTACTS).shortage?.valueMm ?? Number.NaN;
    const stepped = separationsLeft(apart(0), circleArch(null, { tooth: 31, outMm: 0.5 }), LOWER_CONTACTS);
    expect((stepped.shortage?.valueMm ?? Number.NaN) - onLine).toBeCloseTo(hidden(0.5), 1);
    expect(separationsLeft(apart(0), circleArch(null, { tooth: 31, outMm: 1.5 }), LOWER_CONTACTS).why).toBe(
      'teeth still stand off the arch line',
    );
    // Behind the canines a step says nothing: contacts are broad there.
    expect(
      separationsLeft(apart(0), circleArch(null, { tooth: 35, outMm: 1.5 }), LOWER_CONTACTS).why,
    ).toBeNull();
  });

  it('crowns that touch count as nothing, not as less', () => {
    const touching = makeMeasure(
      LOWER_CONTACTS.map((contact, i) => ({
        teeth: contact,
        separationAfter: i === 5 ? { valueMm: 0.5, sdMm: 0.05 } : { valueMm: 0, sdMm: 0.1 },
      })),
    );
    const found = separationsLeft(touching, circleArch(), LOWER_CONTACTS);
    expect(found.shortage?.valueMm).toBeCloseTo(-0.5, 1);
    expect(found.shortage?.sdMm).toBeLessThan(0.1);
  });

  it('says why it cannot be had', () => {
    expect(separationsLeft(apart(-0.3), circleArch(), LOWER_CONTACTS).why).toBe('crowns still overlap');
    expect(separationsLeft(apart(0.1), null, LOWER_CONTACTS).why).toBe('the follow-up scan is not marked');
    expect(separationsLeft(makeMeasure([]), circleArch(), LOWER_CONTACTS).why).toContain('not every contact');
  });
});
