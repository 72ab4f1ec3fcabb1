import { expect, it } from 'vitest';
import { findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import { proposeMarks } from '../../../src/core/marks/proposeMarks.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import type { ArchRecipe } from '../../../src/samples/ArchRecipe.ts';
import { makeArch } from '../../../src/samples/makeArch.ts';
import { makeMesh } from '../../support/meshes.ts';
import { rms } from '../../support/proposeExperiment.ts';

const mixed: readonly ArchRecipe[] = [
  { jaw: 'lower', seed: 91, primary: [73, 74, 75, 83, 84, 85], unerupted: [37, 47], crowdingMm: 1 },
  { jaw: 'upper', seed: 92, primary: [53, 54, 55, 63, 64, 65], unerupted: [17, 27], pose: 'any' },
  { jaw: 'lower', seed: 93, primary: [75, 85], pose: 'any' },
];

it.each(mixed)('$jaw $seed: primary teeth said to stand are found in their places and measured', (recipe) => {
  const { mesh, truth } = makeArch({ ...recipe, triangles: 80_000 });
  const scan = makeMesh(mesh.positions, mesh.indices);
  const { frame } = findArchFrame(scan);
  const said = {
    missing: [],
    unerupted: [...(recipe.unerupted ?? []), ...recipe.primary!.map((t) => t - 40)],
    thirdMolars: [],
    primary: recipe.primary,
  };
  const { crowns, marks } = proposeMarks(surfaceIndex(scan), frame, recipe.jaw, said);
  expect(crowns.crowns.map((c) => c.tooth).sort()).toEqual(truth.teeth.map((t) => t.tooth).sort());
  const errors = truth.teeth.map(({ tooth, mesiodistalAxis: axis, widthMm }) => {
    const at = (site: string) => marks.find((m) => m.tooth === tooth && m.site === site)!.pointMm;
    const [m, d] = [at('mesial'), at('distal')];
    return Math.abs(axis.reduce((sum, a, k) => sum + a * (m[k] - d[k]), 0)) - widthMm;
  });
  // as permanent teeth: tests/core/marks/proposeMarks.test.ts
  expect(rms(errors)).toBeLessThan(0.2);
  expect(Math.max(...errors.map(Math.abs))).toBeLessThan(0.5);
});
