import { describe, expect, it } from 'vitest';
import { contactsOf, isRight, positionOf } from '../../src/core/base/tooth.ts';
import { cross, dot, type Vec3 } from '../../src/core/base/Vec3.ts';
import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { arrangeTeeth } from '../../src/samples/arrangeTeeth.ts';
import { fullRecipe } from '../../src/samples/fullRecipe.ts';
import { type GeneratedArch, makeArch } from '../../src/samples/makeArch.ts';
import { makePair, pairRecipes } from '../../src/samples/makePair.ts';
import type { PlacedCrown } from '../../src/samples/PlacedCrown.ts';
import { makeSpatialNoise } from '../../src/samples/scannerNoise.ts';
import { meshEdges } from '../support/meshEdges.ts';

const along = (axis: Vec3, p: Vec3): number => dot(axis, p);
const flat = (a: Vec3, b: Vec3): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

/**
 * By a second way: twice the least value of max(distance from a, distance from b) over space near the
 * contact and above both cervices; below 0 where the crowns share space, near 0 where they touch.
 */
function closeness(a: PlacedCrown, b: PlacedCrown): number {
  const middle = [a.mesialMm, a.distalMm, b.mesialMm, b.distalMm].reduce(
    (s, p) => [s[0] + p[0] / 4, s[1] + p[1] / 4, s[2] + p[2] / 4],
    [0, 0, 0] as Vec3,
  );
  const value = (p: Vec3): number => {
    if (a.toLocal(p)[2] < 0 || b.toLocal(p)[2] < 0) return 9;
    return Math.max(a.distance(...p), b.distance(...p));
  };
  const starts: [number, Vec3][] = [];
  for (let x = -4; x <= 4; x += 0.25)
    for (let y = -4; y <= 4; y += 0.25)
      for (let z = -7; z <= 4; z += 0.25) {
        const p: Vec3 = [middle[0] + x, middle[1] + y, middle[2] + z];
        starts.push([value(p), p]);
      }
  starts.sort((p, q) => p[0] - q[0]);
  let least = 9;
  for (const [v0, p0] of starts.slice(0, 16)) {
    let [v, p] = [v0, p0];
    for (let step = 0.12; step > 2e-4; ) {
      let moved = false;
      for (let k = 0; k < 27 && !moved; k++) {
        const q: Vec3 = [
          p[0] + step * ((k % 3) - 1),
          p[1] + step * ((Math.floor(k / 3) % 3) - 1),
          p[2] + step * (Math.floor(k / 9) - 1),
        ];
        const w = value(q);
        if (w < v - 1e-9) [v, p, moved] = [w, q, true];
      }
      if (!moved) step *= 0.5;
    }
    least = Math.min(least, v);
  }
  return 2 * least;
}

const recipes: readonly ArchRecipe[] = [
  { jaw: 'lower', seed: 31 },
  { jaw: 'lower', seed: 32, crowdingMm: 5 },
  { jaw: 'upper', seed: 33, crowdingMm: 3.3 },
  { jaw: 'upper', seed: 34, spacingMm: 2.5 },
  { jaw: 'lower', seed: 35, missing: [{ tooth: 45, space: 'open' }] },
  { jaw: 'upper', seed: 36, missing: [{ tooth: 12, space: 'closed' }], crowdingMm: 1 },
  { jaw: 'lower', seed: 37, rotationsDeg: { 35: 30 }, gaps: [{ teeth: [33, 34], gapMm: 1.1 }] },
];

describe.each(recipes)('arrangement $jaw $seed', (recipe) => {
  const full = fullRecipe(recipe);
  const arrangement = arrangeTeeth(full);
  const { teeth, curve } = arrangement;

  it('has a line exactly as long as widths − crowding + spaces', () => {
    const between = teeth.filter((p) => positionOf(p.tooth) <= 5);
    const widths = between.reduce((s, p) => s + p.crown.mesialMm[0] - p.crown.distalMm[0], 0);
    expect(arrangement.requiredMm).toBeCloseTo(widths, 6);
    const gaps = full.gaps.reduce((s, g) => s + g.gapMm, 0);
    if (!full.missing.some((m) => m.space === 'open'))
      expect(arrangement.lineLengthMm - arrangement.requiredMm).toBeCloseTo(
        full.spacingMm + gaps - full.crowdingMm,
        9,
      );
    else {
      // the open space is as wide as the tooth that would fill it, drawn in the arch that has it
      const whole = arrangeTeeth(fullRecipe({ jaw: recipe.jaw, seed: recipe.seed }));
      expect(arrangement.lineLengthMm).toBeCloseTo(whole.lineLengthMm, 9);
    }
  });

  it('fills the line: the packed teeth end within 0.005 mm of it', () => {
    expect(Math.abs(arrangement.restMm)).toBeLessThan(0.005);
  });

  it('sets the first molars with their mesial ends at the ends of the line', () => {
    const molars = teeth.filter((p) => positionOf(p.tooth) === 6);
    molars.forEach((p, i) => {
      const [x, y] = curve.point((i === 0 ? -1 : 1) * (arrangement.lineLengthMm / 2));
      const m = p.mesialMm;
      // aligned teeth stand `outsideMm` outside the line; skewed walls move the outermost point along it
      expect(Math.hypot(m[0] - x, m[1] - y)).toBeLessThan(arrangement.outsideMm + 0.35);
    });
  });

  it('lets no crowns share space by more than 0.02 mm, and neighbours without a gap touch', () => {
    for (let i = 1; i < teeth.length; i++) {
      const d = closeness(teeth[i - 1], teeth[i]);
      expect(d).toBeGreaterThan(-0.02);
      if (
        full.crowdingMm === 0 &&
        full.missing.length === 0 &&
        full.gaps.length === 0 &&
        full.spacingMm === 0
      )
        expect(d).toBeLessThan(0.06);
    }
    for (let i = 2; i < teeth.length; i++) {
      const [a, b] = [teeth[i - 2], teeth[i]];
      expect(flat(a.stand.middleMm, b.stand.middleMm)).toBeGreaterThan(4);
    }
  });
});

const arches: readonly GeneratedArch[] = [
  makeArch({ jaw: 'lower', seed: 41, crowdingMm: 3, pose: 'any' }),
  makeArch({ jaw: 'upper', seed: 42, triangles: 80_000 }),
  makeArch({ jaw: 'upper', seed: 43, spacingMm: 4, pose: 'any', bridgedContacts: false, noiseMm: 0 }),
  makeArch({ jaw: 'lower', seed: 44, missing: [{ tooth: 35, space: 'open' }], triangles: 40_000 }),
];

describe.each(arches)('mesh of arch $truth.jaw $truth.recipe.seed', (arch) => {
  const { mesh, labels, truth } = arch;
  const { positions, indices } = mesh;
  const vertex = (v: number): Vec3 => [positions[v * 3], positions[v * 3 + 1], positions[v * 3 + 2]];

  it('has the asked number of triangles within 10 %', () => {
    expect(labels.length).toBe(indices.length / 3);
    expect(Math.abs(labels.length / truth.recipe.triangles - 1)).toBeLessThan(0.1);
  });

  it('is one orientable sheet with one border, no edge used twice in a direction, and hardly a sliver', () => {
    const facts = meshEdges(mesh);
    expect(facts.repeatedEdges).toBe(0);
    expect(facts.borderLoops).toBe(1);
    expect(facts.components).toBe(1);
    expect(facts.slivers / labels.length).toBeLessThan(2e-4);
  });

  it('faces outward: crown faces look away from the middle of their crown', () => {
    const { occlusal } = truth.frame;
    let outward = 0;
    let count = 0;
    for (const tooth of truth.teeth) {
      const m = tooth.mesialMm.map((x, k) => (x + tooth.distalMm[k]) / 2);
      const middle: Vec3 = [0, 1, 2].map((k) => m[k] - 2 * occlusal[k]) as unknown as Vec3;
      for (let f = 0; f < labels.length; f++) {
        if (labels[f] !== tooth.tooth) continue;
        const [a, b, c] = [0, 1, 2].map((k) => vertex(indices[f * 3 + k]));
        const n = cross([b[0] - a[0], b[1] - a[1], b[2] - a[2]], [c[0] - a[0], c[1] - a[1], c[2] - a[2]]);
        count++;
        if (dot(n, [a[0] - middle[0], a[1] - middle[1], a[2] - middle[2]]) > 0) outward++;
      }
    }
    // hollow lingual sides and fissures may look inward here and there
    expect(outward / count).toBeGreaterThan(0.97);
  });

  it('has its frame as defined: unit, perpendicular, occlusal out of the gum, right side where it belongs', () => {
    const { occlusal, forward, originMm } = truth.frame;
    expect(dot(occlusal, forward)).toBeCloseTo(0, 12);
    expect(dot(occlusal, occlusal)).toBeCloseTo(1, 12);
    expect(dot(forward, forward)).toBeCloseTo(1, 12);
    const x = cross(forward, occlusal);
    for (const tooth of truth.teeth) {
      const side = dot(x, tooth.mesialMm) - dot(x, originMm);
      if (positionOf(tooth.tooth) >= 2)
        expect(side > 0).toBe(isRight(tooth.tooth) === (truth.jaw === 'lower'));
    }
    const height = (zero: boolean) => {
      let sum = 0;
      let n = 0;
      labels.forEach((label, f) => {
        if ((label === 0) !== zero) return;
        sum += dot(occlusal, vertex(indices[f * 3]));
        n++;
      });
      return sum / n;
    };
    expect(height(false)).toBeGreaterThan(height(true) + 2);
    const incisor = truth.teeth.find((t) => positionOf(t.tooth) === 1)!;
    const molar = truth.teeth.find((t) => positionOf(t.tooth) === 6)!;
    expect(dot(forward, incisor.mesialMm)).toBeGreaterThan(dot(forward, molar.mesialMm) + 10);
    expect(Math.abs(dot(occlusal, incisor.incisalMm!) - dot(occlusal, originMm))).toBeLessThan(1.5);
  });

  it('states widths, displacements and segments that follow from its own points', () => {
    const x = cross(truth.frame.forward, truth.frame.occlusal);
    const inPlane = (p: Vec3): Vec3 => [dot(x, p), dot(truth.frame.forward, p), 0];
    for (const t of truth.teeth) {
      const width = along(t.mesiodistalAxis, t.mesialMm) - along(t.mesiodistalAxis, t.distalMm);
      expect(width).toBeCloseTo(t.widthMm, 4);
    }
    const of = (tooth: number) => truth.teeth.find((t) => t.tooth === tooth)!;
    let irregularity = 0;
    for (const c of truth.contacts) {
      const [a, b] = c.teeth;
      const mesialOfA = isRight(a) !== isRight(b) || positionOf(b) < positionOf(a);
      const mesialOfB = isRight(a) !== isRight(b) || positionOf(a) < positionOf(b);
      const pa = inPlane(mesialOfA ? of(a).mesialMm : of(a).distalMm);
      const pb = inPlane(mesialOfB ? of(b).mesialMm : of(b).distalMm);
      expect(flat(pa, pb)).toBeCloseTo(c.displacementMm, 4);
      if (positionOf(a) <= 3 && positionOf(b) <= 3) irregularity += c.displacementMm;
    }
    expect(truth.contacts.map((c) => c.teeth)).toEqual(contactsOf(truth.teeth.map((t) => t.tooth)));
    expect(truth.arch.irregularityMm).toBeCloseTo(irregularity, 5);
    expect(truth.space.differenceMm).toBeCloseTo(truth.space.availableMm - truth.space.requiredMm, 5);
    expect(truth.space.availableMm).toBe(truth.arch.lineLengthMm);
  });

  it('shows every tooth; labels at webs are good to a triangle on each side (1 mm in all, 0.6 mm on average)', () => {
    const errors = truth.teeth.map((t) => {
      let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
      labels.forEach((label, f) => {
        if (label !== t.tooth) return;
        for (let k = 0; k < 3; k++) {
          const s = along(t.mesiodistalAxis, vertex(indices[f * 3 + k]));
          low = Math.min(low, s);
          high = Math.max(high, s);
        }
      });
      return high - low - t.widthMm;
    });
    for (const e of errors) expect(Math.abs(e)).toBeLessThan(1);
    expect(errors.reduce((s, e) => s + Math.abs(e), 0) / errors.length).toBeLessThan(0.6);
  });
});

describe('free proximal walls of a mesh without noise and webs', () => {
  const { mesh, labels, truth } = arches[2];
  // a labelled border face also has corners on the gum: only corners on the crown itself count
  const pointsOf = (tooth: number): Vec3[] => {
    const placed = arches[2].arrangement.teeth.find((p) => p.tooth === tooth)!;
    const { originMm, occlusal, forward } = truth.frame;
    const sideways = cross(forward, occlusal);
    const points: Vec3[] = [];
    labels.forEach((label, f) => {
      if (label !== tooth) return;
      const v = mesh.indices[f * 3] * 3;
      const p: Vec3 = [mesh.positions[v], mesh.positions[v + 1], mesh.positions[v + 2]];
      const d: Vec3 = [p[0] - originMm[0], p[1] - originMm[1], p[2] - originMm[2]];
      if (Math.abs(placed.distance(dot(d, sideways), dot(d, forward), dot(d, occlusal))) < 0.02)
        points.push(p);
    });
    return points;
  };
  const open = truth.contacts.filter((c) => c.separationMm > 0.35);

  it('end where the truth says, within 0.05 mm', () => {
    expect(open.length).toBeGreaterThan(2);
    for (const { teeth } of open)
      for (const tooth of teeth) {
        const t = truth.teeth.find((x) => x.tooth === tooth)!;
        const other = truth.teeth.find((x) => x.tooth === teeth.find((n) => n !== tooth))!;
        const mesial = along(t.mesiodistalAxis, other.mesialMm) > along(t.mesiodistalAxis, t.mesialMm);
        const ends = pointsOf(tooth).map((p) => along(t.mesiodistalAxis, p));
        const error = mesial
          ? Math.max(...ends) - along(t.mesiodistalAxis, t.mesialMm)
          : along(t.mesiodistalAxis, t.distalMm) - Math.min(...ends);
        expect(Math.abs(error)).toBeLessThan(0.05);
      }
  });

  it('are as far apart as the stated separation: nearest vertices at most 0.12 mm farther, never nearer than 0.02 mm', () => {
    for (const c of open) {
      const [a, b] = c.teeth.map(pointsOf);
      let least = 9;
      for (const p of a)
        for (const q of b) {
          const d = (p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + (p[2] - q[2]) ** 2;
          if (d < least) least = d;
        }
      expect(Math.sqrt(least) - c.separationMm).toBeGreaterThan(-0.02);
      expect(Math.sqrt(least) - c.separationMm).toBeLessThan(0.12);
    }
  });
});

describe('makeArch', () => {
  it('gives the same bytes for the same recipe, others for another seed', () => {
    const recipe: ArchRecipe = { jaw: 'lower', seed: 51, crowdingMm: 2, triangles: 20_000 };
    const [a, b] = [makeArch(recipe), makeArch(recipe)];
    expect(Buffer.from(a.mesh.positions.buffer).equals(Buffer.from(b.mesh.positions.buffer))).toBe(true);
    expect(Buffer.from(a.mesh.indices.buffer).equals(Buffer.from(b.mesh.indices.buffer))).toBe(true);
    expect(a.truth).toEqual(b.truth);
    expect(makeArch({ ...recipe, seed: 52 }).truth.teeth[0].widthMm).not.toBe(a.truth.teeth[0].widthMm);
  });

  it('changes nothing but the pose when only the pose changes', () => {
    const recipe: ArchRecipe = { jaw: 'upper', seed: 53, triangles: 20_000 };
    const [a, b] = [makeArch(recipe), makeArch({ ...recipe, pose: 'any' })];
    expect(Array.from(a.mesh.indices.subarray(0, 300))).toEqual(Array.from(b.mesh.indices.subarray(0, 300)));
    expect(a.truth.arch).toEqual(b.truth.arch);
    const at = (arch: GeneratedArch, v: number): Vec3 => {
      const { originMm, occlusal, forward } = arch.truth.frame;
      const p = arch.mesh.positions.subarray(v * 3, v * 3 + 3);
      const d: Vec3 = [p[0] - originMm[0], p[1] - originMm[1], p[2] - originMm[2]];
      return [dot(d, cross(forward, occlusal)), dot(d, forward), dot(d, occlusal)];
    };
    for (let v = 0; v < a.mesh.positions.length / 3; v += 97)
      at(a, v).forEach((x, k) => {
        expect(Math.abs(x - at(b, v)[k])).toBeLessThan(2e-5); // float32 at 100 mm
      });
  });

  it('lays noise of the asked strength on the crowns', () => {
    const recipe: ArchRecipe = { jaw: 'lower', seed: 54, triangles: 40_000 };
    const clean = makeArch({ ...recipe, noiseMm: 0 }).mesh.positions;
    const noisy = makeArch({ ...recipe, noiseMm: 0.03 }).mesh.positions;
    let sum = 0;
    for (let i = 0; i < clean.length; i++) sum += (noisy[i] - clean[i]) ** 2;
    const rms = Math.sqrt(sum / (clean.length / 3));
    expect(rms).toBeGreaterThan(0.026);
    expect(rms).toBeLessThan(0.034);
  });

  it('makes noise that is like its neighbourhood: correlated at 0.2 mm, not at 5 mm', () => {
    const noise = makeSpatialNoise(3);
    let [same, near, far] = [0, 0, 0];
    for (let i = 0; i < 8000; i++) {
      const [x, y, z] = [(i % 20) * 2.31, (Math.floor(i / 20) % 20) * 1.93, Math.floor(i / 400) * 2.07];
      same += noise(x, y, z) ** 2;
      near += noise(x, y, z) * noise(x + 0.2, y, z);
      far += noise(x, y, z) * noise(x + 5, y, z);
    }
    expect(same / 8000).toBeGreaterThan(0.85);
    expect(same / 8000).toBeLessThan(1.15);
    expect(near / same).toBeGreaterThan(0.7);
    expect(Math.abs(far / same)).toBeLessThan(0.06);
  });

  it('refuses what it cannot build', () => {
    expect(() => makeArch({ jaw: 'lower', seed: 1.5 })).toThrow('seed');
    expect(() => makeArch({ jaw: 'lower', seed: 1, noiseMm: 0.5 })).toThrow('noiseMm');
    expect(() => makeArch({ jaw: 'lower', seed: 1, missing: [{ tooth: 11, space: 'open' }] })).toThrow(
      'lower',
    );
    expect(() => arrangeTeeth(fullRecipe({ jaw: 'upper', seed: 7, crowdingMm: 12 }))).toThrow('does not fit');
    expect(() =>
      arrangeTeeth(fullRecipe({ jaw: 'lower', seed: 1, gaps: [{ teeth: [31, 33], gapMm: 1 }] })),
    ).toThrow('no such contact');
  });
});

describe('makePair', () => {
  it('has the asked tooth-size ratio over twelve teeth', () => {
    const pair = {
      seed: 61,
      overallRatioPercent: 89.4,
      upper: { triangles: 20_000 },
      lower: { triangles: 20_000 },
    };
    const { upper, lower } = makePair(pair);
    const sum = (a: GeneratedArch) =>
      a.truth.teeth.reduce((s, t) => s + (positionOf(t.tooth) <= 6 ? t.widthMm : 0), 0);
    expect((100 * sum(lower)) / sum(upper)).toBeCloseTo(89.4, 4);
    expect(pairRecipes(pair).lower.widthFactor).toBe(lower.truth.recipe.widthFactor);
  });
});
