import { describe, expect, it } from 'vitest';
import { archFrame } from '../../../src/core/arch/ArchFrame.ts';
import { findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import { archOrder, positionOf, type Tooth } from '../../../src/core/base/tooth.ts';
import type { Mark } from '../../../src/core/marks/Mark.ts';
import { perhapsPrimary } from '../../../src/core/marks/perhapsPrimary.ts';
import { proposeMarks } from '../../../src/core/marks/proposeMarks.ts';
import { publishedWidth, WIDTH_TABLES } from '../../../src/core/measure/publishedWidths.ts';
import { openScan } from '../../../src/core/scan/openScan.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import type { ArchRecipe } from '../../../src/samples/ArchRecipe.ts';
import { makeArch } from '../../../src/samples/makeArch.ts';
import { namedSamples } from '../../../src/samples/namedSamples.ts';
import { variantSamples } from '../../../src/samples/variantSamples.ts';
import { makeMesh } from '../../support/meshes.ts';
import { makeRandom } from '../../support/random.ts';
import { hasSharedScans, sharedScan } from '../../support/sharedScans.ts';

const WHOLE = { missing: [], unerupted: [], thirdMolars: [] };

/** Marks as far apart as the widths. */
const marksOf = (widths: ReadonlyMap<Tooth, number>): Mark[] =>
  [...widths].flatMap(([tooth, widthMm]) => [
    { tooth, site: 'mesial' as const, pointMm: [0, 0, 0] as const },
    { tooth, site: 'distal' as const, pointMm: [widthMm, 0, 0] as const },
  ]);

const proposedOn = (recipe: ArchRecipe) => {
  const { mesh: made } = makeArch({ ...recipe, triangles: 80_000 });
  const mesh = makeMesh(made.positions, made.indices);
  return proposeMarks(surfaceIndex(mesh), findArchFrame(mesh).frame, recipe.jaw, WHOLE);
};

describe('permanent teeth', () => {
  it.each(['lower', 'upper'] as const)(
    '%s: of 1,000 mouths drawn from published widths almost none is doubted',
    (jaw) => {
      const random = makeRandom(5);
      const normal = () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
      let doubted = 0;
      for (let k = 0; k < 1000; k++) {
        const table = WIDTH_TABLES[k % 2];
        const size = 0.6 * normal(); // teeth of one mouth are large or small together
        const teeth = archOrder(jaw).filter((tooth) => positionOf(tooth) <= 6);
        const widths = teeth.map((tooth) => {
          const { meanMm, sdMm } = publishedWidth(table, tooth)!;
          return [tooth, meanMm + sdMm! * (size + 0.8 * normal())] as const;
        });
        if (perhapsPrimary(marksOf(new Map(widths))).length > 0) doubted++;
      }
      expect(doubted).toBeLessThan(30);
    },
  );

  it.each([...namedSamples, ...variantSamples.filter(({ name }) => name !== 'lower-mixed')])(
    'none on $name',
    ({ recipe }) => {
      expect(proposedOn(recipe).perhapsPrimary).toEqual([]);
    },
  );

  it('too few incisors to tell the size by: nothing is said', () => {
    expect(
      perhapsPrimary(
        marksOf(
          new Map([
            [31, 5.4],
            [35, 10],
          ]),
        ),
      ),
    ).toEqual([]);
  });
});

describe.skipIf(!hasSharedScans)('real permanent teeth', () => {
  it.each([
    ['crowns-a-lower', 'lower', archFrame([0, 0, 0], [0, 1, 0], [0, 0, 1])],
    ['crowns-a-upper', 'upper', archFrame([0, 0, 0], [0, -1, 0], [0, 0, 1])],
    ['arch-b-upper', 'upper', null],
  ] as const)('none on %s', async (name, jaw, given) => {
    const { mesh } = await openScan(sharedScan(name), `${name}.stl`);
    const frame = given ?? findArchFrame(mesh).frame;
    expect(proposeMarks(surfaceIndex(mesh), frame, jaw, WHOLE).perhapsPrimary).toEqual([]);
  });
});

// Nothing is said on the chart: the primary teeth are named as the permanent ones of their places.
describe('a mixed dentition of which nobody has said anything', () => {
  const mixed: readonly ArchRecipe[] = [
    variantSamples.find(({ name }) => name === 'lower-mixed')!.recipe,
    { jaw: 'lower', seed: 91, primary: [73, 74, 75, 83, 84, 85], unerupted: [37, 47], crowdingMm: 1 },
    { jaw: 'upper', seed: 92, primary: [53, 54, 55, 63, 64, 65], unerupted: [17, 27], pose: 'any' },
    { jaw: 'lower', seed: 93, primary: [75, 85], pose: 'any' },
  ];

  it.each(mixed)('$jaw $seed: is doubted, with what to do', (recipe) => {
    const { perhapsPrimary: found, doubts } = proposedOn(recipe);
    expect(found.length).toBeGreaterThan(0);
    for (const tooth of found) {
      expect(recipe.primary).toContain(tooth + 40);
      expect(doubts.filter((d) => d.tooth === tooth).some((d) => d.message.includes('tooth chart'))).toBe(
        true,
      );
    }
  });
});
