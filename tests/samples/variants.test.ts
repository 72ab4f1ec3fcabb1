import { describe, expect, it } from 'vitest';
import { positionOf } from '../../src/core/base/tooth.ts';
import { dot } from '../../src/core/base/Vec3.ts';
import { measureArch } from '../../src/core/measure/measureArch.ts';
import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { makeArch } from '../../src/samples/makeArch.ts';
import { drawSizes } from '../../src/samples/toothSizes.ts';
import { meshEdges } from '../support/meshEdges.ts';
import { sampleMarks } from '../support/sampleMarks.ts';

const small = { triangles: 40_000 };
const kinds: readonly ArchRecipe[] = [
  {
    jaw: 'lower',
    seed: 81,
    primary: [73, 74, 75, 83, 84, 85],
    unerupted: [37, 47],
    crowdingMm: 1.5,
    ...small,
  },
  { jaw: 'upper', seed: 82, primary: [55, 65], pose: 'any', ...small },
  { jaw: 'upper', seed: 83, pegs: [12, 22], ...small },
  { jaw: 'lower', seed: 84, speeMm: 5, ...small },
  { jaw: 'lower', seed: 85, rotationsDeg: { 35: 40, 44: -35 }, crowdingMm: 1, ...small },
];

describe.each(kinds)('arch out of the usual, $jaw $seed', (recipe) => {
  const arch = makeArch(recipe);
  const { truth, labels } = arch;

  it('has the teeth it was asked for, each with its own surface', () => {
    const shown = new Set(labels);
    for (const { tooth } of truth.teeth) expect(shown.has(tooth)).toBe(true);
    for (const tooth of recipe.primary ?? []) {
      expect(truth.teeth.map((t) => t.tooth)).toContain(tooth);
      expect(truth.teeth.map((t) => t.tooth)).not.toContain(tooth - 40);
    }
    for (const tooth of recipe.unerupted ?? []) expect(shown.has(tooth)).toBe(false);
  });

  it('is one clean sheet, and neighbours touch', () => {
    const facts = meshEdges(arch.mesh);
    expect(facts.repeatedEdges).toBe(0);
    expect(facts.borderLoops).toBe(1);
    expect(facts.components).toBe(1);
    expect(Math.abs(labels.length / 40_000 - 1)).toBeLessThan(0.1);
    // packing works on sampled walls: where neighbours stand at other heights it stops up to 0.06 mm early
    for (const { separationMm } of truth.contacts) expect(separationMm).toBeLessThan(0.08);
  });

  it('counts the widths of what has yet to come, drawn for the same person', () => {
    const widths = truth.teeth.filter((t) => positionOf(t.tooth) <= 5).reduce((sum, t) => sum + t.widthMm, 0);
    const standing = truth.teeth
      .filter((t) => recipe.primary?.includes(t.tooth))
      .reduce((sum, t) => sum + t.widthMm, 0);
    const next = [
      ...drawSizes(
        recipe.jaw,
        recipe.seed,
        (recipe.primary ?? []).map((t) => t - 40),
      ),
    ];
    const coming = next.reduce((sum, [, size]) => sum + size.widthMm, 0);
    expect(truth.successors?.map((s) => s.tooth)).toEqual(
      recipe.primary ? recipe.primary.map((t) => t - 40) : undefined,
    );
    expect(truth.space.requiredMm).toBeCloseTo(widths - standing + coming, 4);
    expect(truth.space.availableMm - widths).toBeCloseTo(-(recipe.crowdingMm ?? 0), 4);
  });
});

// the measure takes permanent teeth only
it.each(kinds.filter((recipe) => !recipe.primary))(
  'tells the curve of Spee of $jaw $seed as it is measured from its own marks by another way',
  (recipe) => {
    const { truth } = makeArch(recipe);
    const measures = measureArch({
      jaw: recipe.jaw,
      frame: truth.frame,
      marks: sampleMarks(truth).marks.map((m) => ({ ...m, state: 'confirmed' as const, confidence: null })),
      missing: recipe.unerupted ?? [],
      enteredWidths: [],
      form: 'spline',
      markSdMm: 0.07,
      medianEdgeMm: 0.25,
    });
    expect(measures.speeDepthRight?.valueMm).toBeCloseTo(truth.arch.speeMm!.right, 4);
    expect(measures.speeDepthLeft?.valueMm).toBeCloseTo(truth.arch.speeMm!.left, 4);
    if (recipe.speeMm) expect(truth.arch.speeMm!.right).toBeGreaterThan(2.5);
  },
);

it('a peg is narrower at its edge than at its middle, and smaller than the incisor of its place', () => {
  const [peg, grown] = [kinds[2], { ...kinds[2], pegs: [] }].map((recipe) => {
    const { teeth } = makeArch(recipe).arrangement;
    return teeth.find((p) => p.tooth === 12)!.crown;
  });
  const breadth = (crown: typeof peg, share: number): number => {
    let [least, most] = [0, 0];
    for (let u = -5; u <= 5; u += 0.01)
      if (crown.distance(u, 0, share * crown.heightMm) < 0)
        [least, most] = [Math.min(least, u), Math.max(most, u)];
    return most - least;
  };
  expect(breadth(peg, 0.9) / breadth(peg, 0.4)).toBeLessThan(0.7);
  expect(breadth(grown, 0.85) / breadth(grown, 0.4)).toBeGreaterThan(1);
  expect((peg.mesialMm[0] - peg.distalMm[0]) / (grown.mesialMm[0] - grown.distalMm[0])).toBeCloseTo(0.72, 6);
});

it('turned premolars stand turned by the angle asked for against an arch without turns', () => {
  const [turned, plain] = [kinds[4], { ...kinds[4], rotationsDeg: {} }].map(
    (recipe) => makeArch(recipe).truth,
  );
  for (const [tooth, deg] of Object.entries(kinds[4].rotationsDeg!)) {
    const [a, b] = [turned, plain].map(
      (truth) => truth.teeth.find((t) => t.tooth === Number(tooth))!.mesiodistalAxis,
    );
    // what is left differs: crowded neighbours push it a little along the curved line
    expect(Math.abs((Math.acos(dot(a, b)) * 180) / Math.PI - Math.abs(deg))).toBeLessThan(5);
  }
});

it('refuses what it cannot build', () => {
  expect(() => makeArch({ jaw: 'lower', seed: 1, primary: [71] })).toThrow('primary');
  expect(() => makeArch({ jaw: 'lower', seed: 1, primary: [53] })).toThrow('lower');
  expect(() => makeArch({ jaw: 'lower', seed: 1, pegs: [41] })).toThrow('lateral');
  expect(() => makeArch({ jaw: 'upper', seed: 1, unerupted: [15] })).toThrow('second molar');
  expect(() => makeArch({ jaw: 'upper', seed: 1, speeMm: 9 })).toThrow('speeMm');
});
