import { findArchFrame } from '../../src/core/arch/findArchFrame.ts';
import { positionOf, type Tooth } from '../../src/core/base/tooth.ts';
import { distance } from '../../src/core/base/Vec3.ts';
import { proposeMarks } from '../../src/core/marks/proposeMarks.ts';
import { surfaceIndex } from '../../src/core/scan/surfaceIndex.ts';
import { equivalence } from '../../src/core/study/pairedTests.ts';
import { study } from '../../src/core/study/study.ts';
import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { makeArch } from '../../src/samples/makeArch.ts';
import type { Validation } from '../accuracy/validationReport.ts';
import { makeMesh } from './meshes.ts';
import { makeRandom } from './random.ts';
import { clickTooth } from './snapExperiment.ts';

/** Widths of one tooth by every way of measuring, mm; null where nothing was proposed for it. */
export interface ValidatedTooth {
  readonly arch: number;
  readonly tooth: Tooth;
  readonly truthMm: number;
  readonly proposedMm: number | null;
  /** Two readings by clicks about the true points, each point snapped. */
  readonly clickedMm: readonly [number, number];
  /** The same clicks, not snapped. */
  readonly rawMm: readonly [number, number];
}

/** Arches of the study: upper and lower by turns, aligned to crowded by 6 mm and spaced, any pose, noise 0.01 to 0.03 mm. */
function validationRecipes(count: number): readonly ArchRecipe[] {
  return Array.from({ length: count }, (_, i): ArchRecipe => {
    const spaced = i % 6 === 5;
    return {
      jaw: i % 2 ? 'upper' : 'lower',
      seed: 60_001 + i,
      ...(spaced ? { spacingMm: 3 } : { crowdingMm: [0, 2, 4, 6, 3][i % 6] }),
      noiseMm: [0.01, 0.02, 0.03][i % 3],
      pose: 'any',
      triangles: 60_000,
    };
  });
}

/** Every tooth of one generated arch, proposed and clicked twice; truth is looked at only to place the clicks. */
function validatedArch(recipe: ArchRecipe, arch: number): readonly ValidatedTooth[] {
  const made = makeArch(recipe);
  const mesh = makeMesh(made.mesh.positions, made.mesh.indices);
  const index = surfaceIndex(mesh);
  const { frame } = findArchFrame(mesh);
  const { marks } = proposeMarks(index, frame, recipe.jaw, { missing: [], unerupted: [], thirdMolars: [] });
  const proposed = (tooth: Tooth): number | null => {
    const [mesial, distal] = (['mesial', 'distal'] as const).map((site) =>
      marks.find((mark) => mark.tooth === tooth && mark.site === site),
    );
    return mesial && distal ? distance(mesial.pointMm, distal.pointMm) : null;
  };
  return made.truth.teeth.map(({ tooth, widthMm, mesialMm, distalMm }) => {
    const readings = [1, 2].map((reading) => {
      const random = makeRandom(recipe.seed * 1009 + tooth * 17 + reading);
      const { mesial, distal, clickedMm } = clickTooth(index, frame, tooth, mesialMm, distalMm, random);
      return { snapped: distance(mesial, distal), raw: clickedMm };
    });
    return {
      arch,
      tooth,
      truthMm: widthMm,
      proposedMm: proposed(tooth),
      clickedMm: [readings[0].snapped, readings[1].snapped],
      rawMm: [readings[0].raw, readings[1].raw],
    };
  });
}

/** The comparisons of the study: what is held against what, and the columns. */
const COMPARISONS: readonly {
  readonly name: string;
  readonly first: (tooth: ValidatedTooth) => number | null;
  readonly second: (tooth: ValidatedTooth) => number;
}[] = [
  { name: 'proposed, nothing clicked − truth', first: (t) => t.proposedMm, second: (t) => t.truthMm },
  { name: 'clicked and snapped − truth', first: (t) => t.clickedMm[0], second: (t) => t.truthMm },
  { name: 'the same clicks, not snapped − truth', first: (t) => t.rawMm[0], second: (t) => t.truthMm },
  {
    name: 'clicked and snapped, first − second reading',
    first: (t) => t.clickedMm[0],
    second: (t) => t.clickedMm[1],
  },
  { name: 'not snapped, first − second reading', first: (t) => t.rawMm[0], second: (t) => t.rawMm[1] },
];

const kindOf = (tooth: Tooth): string =>
  ['incisors', 'incisors', 'canines', 'premolars', 'premolars', 'molars', 'molars'][positionOf(tooth) - 1];

const LIMIT_MM = 0.2;

/** The whole study on so many arches, with this program's own study figures. */
export function validationStudy(count: number, onDone: (words: string) => void = () => {}): Validation {
  const teeth = validationRecipes(count).flatMap((recipe, i) => {
    const measured = validatedArch(recipe, i);
    onDone(`${i + 1} of ${count}`);
    return measured;
  });
  const results = COMPARISONS.map(({ name, first, second }) => {
    const rows = teeth.map((tooth) => ({ a: first(tooth), b: second(tooth), by: kindOf(tooth.tooth) }));
    const whole = rows.filter((row) => row.a !== null);
    const tested = equivalence(
      whole.map((row) => row.a!),
      whole.map((row) => row.b),
      LIMIT_MM,
    );
    return { name, equivalence: tested, groups: study(rows).groups };
  });
  const unproposed = teeth.filter((tooth) => tooth.proposedMm === null).length;
  return { arches: count, teeth: teeth.length, unproposed, limitMm: LIMIT_MM, results };
}
