import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { archOrder, type Contact, contactsOf, isRight, positionOf } from '../../src/core/base/tooth.ts';
import { cross, dot, subtract, type Vec3 } from '../../src/core/base/Vec3.ts';
import { type ArchChange, evenCuts } from '../../src/samples/ArchChange.ts';
import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { Crown } from '../../src/samples/Crown.ts';
import { crownForm } from '../../src/samples/crownForms.ts';
import type { GeneratedArch } from '../../src/samples/makeArch.ts';
import { makeBeforeAfter } from '../../src/samples/makeBeforeAfter.ts';
import { composed, inverse, movedBy, type Rigid, rotationVector } from '../../src/samples/rigid.ts';
import { drawSizes, REFERENCE } from '../../src/samples/toothSizes.ts';

const LOWER = contactsOf(archOrder('lower').filter((tooth) => positionOf(tooth) <= 6));
const cuts = (each: number, midline = each) =>
  evenCuts(LOWER.map((teeth, i) => [teeth, i === 5 ? midline : each]));

describe.each([
  { jaw: 'lower', position: 1 },
  { jaw: 'lower', position: 5 },
  { jaw: 'upper', position: 2 },
  { jaw: 'upper', position: 6 },
] as const)('cut crown $jaw $position', ({ jaw, position }) => {
  const tooth = (jaw === 'upper' ? 10 : 40) + position;
  const size = drawSizes(jaw, 8, [tooth]).get(tooth)!;
  const grown = new Crown(crownForm(jaw, position), REFERENCE[jaw][position - 1], size);
  const cut = grown.cutBack([0.3, 0.12]);

  it('ends exactly as far back as enamel is gone, on its own surface', () => {
    expect(grown.mesialMm[0] - cut.mesialMm[0]).toBeCloseTo(0.3, 9);
    expect(cut.distalMm[0] - grown.distalMm[0]).toBeCloseTo(0.12, 9);
    for (const p of [cut.mesialMm, cut.distalMm]) expect(Math.abs(cut.distance(...p))).toBeLessThan(1e-6);
  });

  it('lies inside the grown crown, has no deeper cut anywhere, and is untouched away from the walls', () => {
    // from the middle of the crown outward to the cut surface, in all directions: how deep it lies in the grown one
    const deepest = [0, 0];
    for (let azimuth = 0; azimuth < 2 * Math.PI; azimuth += 0.02)
      for (let rise = -0.6; rise < 0.6; rise += 0.03) {
        const [du, dv, dw] = [Math.cos(azimuth), Math.sin(azimuth), rise];
        let [inside, outside] = [0.2, 12];
        const at = (r: number): Vec3 => [r * du, r * dv, 0.55 * grown.heightMm + r * dw];
        for (let i = 0; i < 40; i++) {
          const r = (inside + outside) / 2;
          if (cut.distance(...at(r)) > 0) outside = r;
          else inside = r;
        }
        const p = at(inside);
        const depth = -grown.distance(...p) / Math.hypot(...grown.gradient(...p));
        expect(depth).toBeGreaterThan(-1e-5);
        const side = du > 0 ? 0 : 1;
        deepest[side] = Math.max(deepest[side], depth);
      }
    // to first order of the distance, which falls short at this depth; the middle is exact, see above
    expect(deepest[0]).toBeGreaterThan(0.25);
    expect(deepest[0]).toBeLessThan(0.305);
    expect(deepest[1]).toBeGreaterThan(0.09);
    expect(deepest[1]).toBeLessThan(0.122);
    for (const v of [-2, -1, 1, 2])
      expect(cut.distance(0, v, grown.heightMm)).toBe(grown.distance(0, v, grown.heightMm));
  });

  it('has a wall that is flatter than it grew', () => {
    const bend = (crown: Crown): number => {
      const [u, v, w] = crown.mesialMm;
      let far = 0;
      for (let x = 0; x < 2; x += 0.001) if (crown.distance(u - x, v + 0.4, w) > 0) far = x;
      return far;
    };
    expect(bend(cut)).toBeLessThan(bend(grown));
  });
});

const recipe: ArchRecipe = {
  jaw: 'lower',
  seed: 71,
  crowdingMm: 2.2,
  triangles: 40_000,
  noiseMm: 0,
  bridgedContacts: false,
};
const cases: readonly { name: string; recipe: ArchRecipe; change: ArchChange; leftMm: number }[] = [
  { name: 'closed', recipe, change: { cuts: cuts(0.2) }, leftMm: 0 },
  { name: 'over-cut at the midline', recipe, change: { cuts: cuts(0.2, 0.6) }, leftMm: 0.4 },
  { name: 'half way', recipe, change: { cuts: cuts(0.1) }, leftMm: -1.1 },
  {
    name: 'upper with turns of its own, in any pose',
    recipe: {
      ...recipe,
      jaw: 'upper',
      seed: 72,
      crowdingMm: 1,
      rotationsDeg: { 14: 18 },
      pose: 'any',
    },
    change: {
      cuts: evenCuts([
        [[12, 11], 0.4],
        [[11, 21], 0.4],
        [[21, 22], 0.4],
      ]),
      openAt: [
        [13, 12],
        [22, 23],
      ],
    },
    leftMm: 0.2,
  },
];

describe.each(cases)('before and after, $name', ({ recipe, change, leftMm }) => {
  const made = makeBeforeAfter(recipe, change);
  const { before, after } = made;
  const truth = made.change;
  const of = (arch: GeneratedArch, tooth: number) => arch.truth.teeth.find((t) => t.tooth === tooth)!;
  const toEarlier = (p: Vec3): Vec3 => movedBy(truth.laterToEarlier, p);

  it('says what is left of the space: lines less widths', () => {
    expect(after.truth.space.differenceMm).toBeCloseTo(leftMm, 5);
    expect(Math.abs(after.arrangement.restMm)).toBeLessThan(0.001);
    const gone = truth.contacts.reduce((s, c) => s + c.enamelGoneMm, 0);
    expect(after.truth.space.differenceMm - before.truth.space.differenceMm).toBeCloseTo(gone, 5);
  });

  it('leaves open what is too much where it was told to, and nothing else', () => {
    const open = (change.openAt ?? [[41, 31]]).map(String);
    for (const c of truth.contacts) {
      const wanted = leftMm > 0 && open.includes(String(c.teeth)) ? leftMm / open.length : 0;
      // spaces are laid along the line, separations are the nearest distance of two curved walls
      expect(Math.abs(c.separationAfterMm - wanted)).toBeLessThan(0.03);
    }
  });

  it('moves no molar, and every motion is rigid', () => {
    for (const t of truth.teeth) {
      const { rotation: r } = t.motion;
      const rows = [r.slice(0, 3), r.slice(3, 6), r.slice(6)] as unknown as Vec3[];
      for (let i = 0; i < 3; i++)
        for (let j = 0; j < 3; j++) expect(dot(rows[i], rows[j])).toBeCloseTo(i === j ? 1 : 0, 9);
      expect(dot(cross(rows[0], rows[1]), rows[2])).toBeCloseTo(1, 9);
      const size = Math.hypot(...t.movedMm);
      if (positionOf(t.tooth) >= 6) expect(size).toBeLessThan(1e-9);
      else expect(size).toBeGreaterThan(0.01);
    }
  });

  it('brings the contact points where the later truth has them, less the enamel gone', () => {
    for (const t of truth.teeth) {
      const [earlier, later] = [of(before, t.tooth), of(after, t.tooth)];
      expect(t.widthBeforeMm - t.widthAfterMm).toBeCloseTo(t.enamelGoneMm[0] + t.enamelGoneMm[1], 9);
      expect(later.widthMm).toBeCloseTo(t.widthAfterMm, 5);
      const axis = earlier.mesiodistalAxis;
      const [m, d] = [
        earlier.mesialMm.map((x, k) => x - axis[k] * t.enamelGoneMm[0]) as unknown as Vec3,
        earlier.distalMm.map((x, k) => x + axis[k] * t.enamelGoneMm[1]) as unknown as Vec3,
      ];
      for (const [was, is] of [
        [m, later.mesialMm],
        [d, later.distalMm],
      ])
        expect(Math.hypot(...subtract(movedBy(t.motion, was), toEarlier(is)))).toBeLessThan(1e-4);
    }
  });

  it('tells movement and turn as its motion has them, distal away from the midline', () => {
    const { occlusal, forward } = before.truth.frame;
    for (const t of truth.teeth) {
      const moved = subtract(movedBy(t.motion, t.centreMm), t.centreMm);
      expect(dot(moved, t.distal)).toBeCloseTo(t.movedMm[0], 9);
      expect(dot(moved, t.outward)).toBeCloseTo(t.movedMm[1], 9);
      expect(dot(moved, occlusal)).toBeCloseTo(t.movedMm[2], 9);
      const turn = rotationVector(t.motion.rotation);
      expect(dot(turn, occlusal)).toBeCloseTo(t.turnedRad[0], 9);
      expect(dot(turn, t.distal)).toBeCloseTo(t.turnedRad[1], 9);
      expect(dot(turn, t.outward)).toBeCloseTo(t.turnedRad[2], 9);
      const own = of(before, t.tooth).mesiodistalAxis;
      expect(dot(own, t.distal)).toBeLessThan(-0.7);
      // x of the arch frame points to the right in a lower, to the left in an upper arch
      const sideways = dot(cross(forward, occlusal), t.outward);
      if (positionOf(t.tooth) >= 4)
        expect(sideways > 0).toBe(isRight(t.tooth) === (before.truth.jaw === 'lower'));
    }
  });

  it('the later mesh, laid over the earlier by the truth, shows each crown moved and cut back', () => {
    const laid = new Map<number, Vec3[]>();
    const { mesh, labels } = before;
    labels.forEach((tooth, f) => {
      if (tooth === 0) return;
      const v = mesh.indices[f * 3] * 3;
      const list = laid.get(tooth) ?? [];
      if (list.length === 0) laid.set(tooth, list);
      list.push([mesh.positions[v], mesh.positions[v + 1], mesh.positions[v + 2]]);
    });
    // earlier vertices carried to the later arch frame: on the later crown's surface, or outside it where enamel is gone
    const frame = after.truth.frame;
    const axes = [cross(frame.forward, frame.occlusal), frame.forward, frame.occlusal];
    const toArch: Rigid = composed(
      { rotation: axes.flat(), translationMm: [0, 0, 0] },
      {
        rotation: [1, 0, 0, 0, 1, 0, 0, 0, 1],
        translationMm: frame.originMm.map((x) => -x) as unknown as Vec3,
      },
    );
    for (const t of truth.teeth) {
      const placed = after.arrangement.teeth.find((p) => p.tooth === t.tooth)!;
      const carry = composed(toArch, composed(inverse(truth.laterToEarlier), t.motion));
      const standOut = laid
        .get(t.tooth)!
        .map((p) => placed.distance(...movedBy(carry, p)))
        .sort((a, b) => a - b);
      const most = Math.max(...t.enamelGoneMm);
      const at = (share: number) => standOut[Math.floor(share * (standOut.length - 1))];
      expect(at(0.02)).toBeGreaterThan(-0.06); // webs and fillets lie outside the crown, never inside
      expect(Math.abs(at(0.5))).toBeLessThan(0.02);
      if (most > 0) expect(at(0.999)).toBeGreaterThan(0.5 * most);
    }
  });
});

describe('makeBeforeAfter', () => {
  it('gives the same bytes again; another seed of the change another scan of the same teeth', () => {
    const change: ArchChange = { cuts: cuts(0.1), settleMm: 0, settleDeg: 0 };
    const small = { ...recipe, triangles: 20_000 };
    const [a, b] = [makeBeforeAfter(small, change), makeBeforeAfter(small, change)];
    expect(
      Buffer.from(a.after.mesh.positions.buffer).equals(Buffer.from(b.after.mesh.positions.buffer)),
    ).toBe(true);
    expect(a.change).toEqual(b.change);
    const other = makeBeforeAfter(small, { ...change, seed: 5 });
    expect(other.after.truth.contacts).toEqual(a.after.truth.contacts);
    expect(other.after.truth.frame).not.toEqual(a.after.truth.frame);
  });

  it('refuses cuts that cannot be made', () => {
    const small = { ...recipe, triangles: 20_000 };
    const of = (teeth: Contact, mm: number) => () =>
      makeBeforeAfter(small, { cuts: [{ teeth, goneMm: [mm, mm] }] });
    expect(of([41, 33], 0.1)).toThrow('no contact');
    expect(of([36, 37], 0.1)).toThrow('no contact');
    expect(of([41, 31], 0.9)).toThrow('out of range');
    expect(of([41, 31], Number.NaN)).toThrow('out of range');
  });
});

describe('rotationVector', () => {
  it('gives back the axis and angle of a turn', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -1, max: 1, noNaN: true }),
        fc.double({ min: -3, max: 3, noNaN: true }),
        fc.double({ min: -3, max: 3, noNaN: true }),
        (c, azimuth, angle) => {
          const s = Math.sqrt(1 - c * c);
          const [x, y, z] = [s * Math.cos(azimuth), s * Math.sin(azimuth), c];
          const [C, S] = [Math.cos(angle), Math.sin(angle)];
          const v = 1 - C;
          // Rodrigues' formula
          const r = [
            x * x * v + C,
            x * y * v - z * S,
            x * z * v + y * S,
            x * y * v + z * S,
            y * y * v + C,
            y * z * v - x * S,
            x * z * v - y * S,
            y * z * v + x * S,
            z * z * v + C,
          ];
          rotationVector(r).forEach((value, k) => {
            expect(value).toBeCloseTo([x, y, z][k] * angle, 7);
          });
        },
      ),
      { seed: 5 },
    );
  });
});
