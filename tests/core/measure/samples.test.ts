import { describe, expect, test } from 'vitest';
import type { PlacedMark } from '../../../src/core/marks/Mark.ts';
import type { ArchForm, ArchMeasures } from '../../../src/core/measure/ArchMeasures.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import type { ArchRecipe } from '../../../src/samples/ArchRecipe.ts';
import { namedSamples } from '../../../src/samples/namedSamples.ts';
import type { SampleTruth } from '../../../src/samples/sampleTruth.ts';
import { recipeTruth } from '../../support/recipeTruth.ts';
import { sampleMarks } from '../../support/sampleMarks.ts';

// Measures from the true marks of generated arches against their exact truth. No mesh is made: this is about
// measuring, not about marking. The generating curve is of a family that none of the forms contains.

interface Case {
  readonly name: string;
  readonly recipe: ArchRecipe;
}
const generated: readonly Case[] = [0, 2, 4, 6, 8].flatMap((crowdingMm) =>
  (['lower', 'upper'] as const).flatMap((jaw) =>
    [101, 102, 103].map(
      (k): Case => ({
        name: `${jaw} crowded ${crowdingMm} mm, ${k}`,
        recipe: { jaw, seed: 10 * k + crowdingMm, crowdingMm },
      }),
    ),
  ),
);
const spaced: readonly Case[] = [
  { name: 'lower spaced 3 mm', recipe: { jaw: 'lower', seed: 7, spacingMm: 3 } },
  { name: 'upper spaced 6 mm', recipe: { jaw: 'upper', seed: 8, spacingMm: 6 } },
];
const shipped: readonly Case[] = namedSamples.map(({ name, recipe }) => ({ name, recipe }));

function measured(truth: SampleTruth, form: ArchForm = 'spline'): ArchMeasures {
  return measureArch({
    jaw: truth.jaw,
    frame: truth.frame,
    marks: sampleMarks(truth).marks.map((m): PlacedMark => ({ ...m, state: 'confirmed', confidence: null })),
    missing: truth.recipe.missing.map((m) => m.tooth),
    enteredWidths: [],
    form,
    markSdMm: 0.1,
    medianEdgeMm: 0.2,
  });
}

interface Row {
  readonly what: string;
  readonly errors: number[];
}

/** Error of every measure over some arches, by name of the measure. */
function errorsOf(cases: readonly Case[]): readonly Row[] {
  const rows = new Map<string, number[]>();
  const put = (what: string, got: number | undefined | null, exact: number | null): void => {
    if (exact === null) return;
    rows.set(what, [...(rows.get(what) ?? []), (got ?? Number.NaN) - exact]);
  };
  for (const { recipe } of cases) {
    const truth = recipeTruth(recipe);
    const m = measured(truth);
    for (const t of truth.teeth) put('width', m.teeth.find((o) => o.tooth === t.tooth)?.widthMm, t.widthMm);
    for (const c of truth.contacts) {
      const own = m.contacts.find((o) => o.teeth[0] === c.teeth[0] && o.teeth[1] === c.teeth[1]);
      if (!own) continue; // across a missing tooth
      put('displacement', own.displacement?.valueMm, c.displacementMm);
      put('separation along the arch', own.separation?.valueMm, c.alongArchMm);
    }
    for (const l of m.lines) {
      put(`line ${l.form}: space available`, l.length.valueMm, truth.space.availableMm);
      put(`line ${l.form}: through aligned contacts`, l.length.valueMm, truth.arch.contactLineLengthMm);
      const straight = l.length.valueMm - l.chordExcessMm;
      put(`line ${l.form} less chord excess: space`, straight, truth.space.availableMm);
    }
    put('four segments', m.fourSegments?.valueMm, truth.arch.fourSegmentsMm);
    put('six segments', m.sixSegments?.valueMm, truth.arch.sixSegmentsMm);
    put('four segments: space available', m.fourSegments?.valueMm, truth.space.availableMm);
    put('six segments: space available', m.sixSegments?.valueMm, truth.space.availableMm);
    put('irregularity', m.irregularity?.valueMm, truth.arch.irregularityMm);
    put('depth', m.depth?.valueMm, truth.arch.depthMm);
    put('intercanine', m.intercanine?.valueMm, truth.arch.intercanineMm);
    put('intermolar', m.intermolar?.valueMm, truth.arch.intermolarMm);
  }
  return [...rows].map(([what, errors]) => ({ what, errors }));
}

const rms = (e: readonly number[]): number => Math.sqrt(e.reduce((s, x) => s + x * x, 0) / e.length);
const worst = (e: readonly number[]): number => e.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
const table = (title: string, rows: readonly Row[]): string =>
  [
    `${title}: mean, RMS, worst error, mm`,
    ...rows.map(({ what, errors }) => {
      const mean = errors.reduce((s, x) => s + x, 0) / errors.length;
      return `  ${what.padEnd(42)} n ${String(errors.length).padStart(3)}  ${mean.toFixed(3).padStart(7)} ${rms(errors).toFixed(3)} ${worst(errors).toFixed(3)}`;
    }),
  ].join('\n');

describe.each([
  ['shipped samples', shipped, 0.25, 0.45],
  [
    '18 generated arches, 0 to 4 mm crowded',
    generated.filter((c) => (c.recipe.crowdingMm ?? 0) <= 4),
    0.3,
    0.6,
  ],
  [
    '12 generated arches, 6 and 8 mm crowded',
    generated.filter((c) => (c.recipe.crowdingMm ?? 0) > 4),
    0.45,
    0.9,
  ],
  ['spaced arches', spaced, 0.15, 0.2],
] as const)('%s', (title, cases, rmsMm, worstMm) => {
  const rows = errorsOf(cases);
  console.info(table(title, rows));
  const errors = (what: string): readonly number[] => rows.find((r) => r.what === what)!.errors;

  test('everything was had', () => {
    for (const { what, errors } of rows) expect(errors.every(Number.isFinite), what).toBe(true);
    expect(errors('line spline: through aligned contacts')).toHaveLength(cases.length);
  });
  // truth takes a width along the crown's own mesiodistal axis, its contact points differ a little in height
  // and depth across it: the straight distance is longer by that, never shorter
  test('widths', () => {
    expect(worst(errors('width'))).toBeLessThan(0.06);
  });
  test('displacements, irregularity, segments: exact to the truth’s rounding', () => {
    expect(worst(errors('displacement'))).toBeLessThan(1e-5);
    if (rows.some((r) => r.what === 'irregularity')) expect(worst(errors('irregularity'))).toBeLessThan(1e-5);
    expect(worst(errors('four segments'))).toBeLessThan(1e-5);
    expect(worst(errors('six segments'))).toBeLessThan(1e-5);
  });
  test('depth and widths across', () => {
    expect(worst(errors('depth'))).toBeLessThan(0.03); // truth along forward, ours square to the molars' line
    expect(worst(errors('intercanine'))).toBeLessThan(1e-5);
    expect(worst(errors('intermolar'))).toBeLessThan(1e-5);
  });
  // what straight teeth can use of the line: its length less the chord excess
  test(`space available: RMS within ${rmsMm}, worst within ${worstMm} mm`, () => {
    const available = errors('line spline less chord excess: space');
    expect(available).toHaveLength(cases.length);
    expect(rms(available)).toBeLessThan(rmsMm);
    expect(worst(available)).toBeLessThan(worstMm);
  });
  test('separation along the arch', () => {
    expect(rms(errors('separation along the arch'))).toBeLessThan(0.15);
  });
});
