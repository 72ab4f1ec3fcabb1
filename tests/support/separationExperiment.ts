import { findArchFrame } from '../../src/core/arch/findArchFrame.ts';
import { archOrder, type Contact, contactsOf, type Jaw, positionOf } from '../../src/core/base/tooth.ts';
import type { Vec3 } from '../../src/core/base/Vec3.ts';
import { proposeMarks } from '../../src/core/marks/proposeMarks.ts';
import { type SurfaceSeparation, surfaceSeparations } from '../../src/core/marks/surfaceSeparations.ts';
import { openScan } from '../../src/core/scan/openScan.ts';
import { surfaceIndex, unpackSurfaceIndex } from '../../src/core/scan/surfaceIndex.ts';
import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { makeArch } from '../../src/samples/makeArch.ts';
import { namedSamples } from '../../src/samples/namedSamples.ts';
import { makeMesh } from './meshes.ts';
import { makeRandom } from './random.ts';
import { type SharedScan, sharedFaceTeeth, sharedScan } from './sharedScans.ts';

/** One contact: what the surface said, from proposed marks, against the true distance of the crowns; mm. */
export interface SeparationRow {
  readonly arch: string;
  readonly kind: 'shipped' | 'generated' | 'real';
  readonly teeth: Contact;
  readonly truthMm: number; // 0: the crowns touch
  readonly found: SurfaceSeparation | null; // null: left to the marks
}

export interface SeparationArch {
  readonly name: string;
  readonly kind: 'shipped' | 'generated';
  readonly recipe: ArchRecipe;
}

const SHAPES: readonly (readonly [name: string, shape: Partial<ArchRecipe>])[] = [
  ['spaced 1 mm', { spacingMm: 1 }],
  ['spaced 3 mm', { spacingMm: 3 }],
  ['aligned', {}],
  ['crowded 2 mm', { crowdingMm: 2 }],
  ['crowded 4 mm', { crowdingMm: 4 }],
  ['gaps', {}],
];

/** Gaps of 0.1 to 1 mm at seven in ten of an arch's contacts. */
function scatteredGaps(jaw: Jaw, seed: number): ArchRecipe['gaps'] {
  const random = makeRandom(seed);
  return contactsOf(archOrder(jaw).filter((tooth) => positionOf(tooth) <= 7)).flatMap((teeth) =>
    random() < 0.7 ? [{ teeth, gapMm: 0.1 + 0.9 * random() }] : [],
  );
}

/** The first six shipped samples, and 24 arches that are not shipped; bridged contacts or not, noise 0.01 to 0.03 mm. */
export function separationArches(): readonly SeparationArch[] {
  const shipped = namedSamples
    .slice(0, 6)
    .map(({ name, recipe }): SeparationArch => ({ name, kind: 'shipped', recipe }));
  const made: SeparationArch[] = [];
  for (const bridgedContacts of [true, false])
    for (const [name, shape] of SHAPES)
      for (const jaw of ['lower', 'upper'] as const) {
        const seed = 88_001 + made.length;
        const noiseMm = [0.01, 0.02, 0.03][made.length % 3];
        const gaps = name === 'gaps' ? scatteredGaps(jaw, seed) : undefined;
        made.push({
          name: `${jaw} ${name}${bridgedContacts ? '' : ', no webs'}, seed ${seed}`,
          kind: 'generated',
          recipe: { jaw, seed, pose: 'any', noiseMm, bridgedContacts, triangles: 70_000, ...shape, gaps },
        });
      }
  return [...shipped, ...made];
}

const NOTHING_SAID = { missing: [], unerupted: [], thirdMolars: [] };

/** Separations of a generated arch, in the frame found and from marks proposed on its surface. */
export function separationsGenerated({ name, kind, recipe }: SeparationArch): readonly SeparationRow[] {
  const arch = makeArch(recipe);
  const mesh = makeMesh(arch.mesh.positions, arch.mesh.indices);
  const index = surfaceIndex(mesh);
  const { frame } = findArchFrame(mesh);
  const missing = (recipe.missing ?? []).map(({ tooth }) => tooth);
  const { marks } = proposeMarks(index, frame, recipe.jaw, { ...NOTHING_SAID, missing });
  const found = surfaceSeparations(index, frame, marks);
  return arch.truth.contacts.map(({ teeth, separationMm }) => ({
    arch: name,
    kind,
    teeth,
    truthMm: separationMm,
    found: found.find((one) => String(one.teeth) === String(teeth)) ?? null,
  }));
}

/**
 * Separations of real crowns that are surfaces of their own, so that their distance is known by another way: from
 * every vertex of one to the nearest triangle of the other. A vertex of one inside the other: they touch.
 */
export async function separationsReal(name: SharedScan): Promise<readonly SeparationRow[]> {
  const opened = await openScan(sharedScan(name), `${name}.stl`);
  const index = unpackSurfaceIndex(opened.mesh, opened.index);
  const { frame } = findArchFrame(opened.mesh);
  const jaw: Jaw = name.endsWith('lower') ? 'lower' : 'upper';
  const { marks } = proposeMarks(index, frame, jaw, NOTHING_SAID);
  const found = surfaceSeparations(index, frame, marks);
  const labels = sharedFaceTeeth(name);
  const teeth = [...new Set(labels)].filter((tooth) => tooth > 0);
  const { positions, indices } = opened.mesh;
  const crowns = new Map(
    teeth.map((tooth) => {
      const corners = [...indices].filter((_, i) => labels[Math.floor(i / 3)] === tooth);
      const vertices = [...new Set(corners)];
      const places = new Map(vertices.map((vertex, at) => [vertex, at]));
      const points = vertices.map(
        (v): Vec3 => [positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]],
      );
      const mesh = makeMesh(
        points.flat(),
        corners.map((v) => places.get(v)!),
      );
      return [tooth, { points, index: surfaceIndex(mesh) }];
    }),
  );
  const distanceMm = (a: number, b: number): number => {
    let least = Number.POSITIVE_INFINITY;
    for (const point of crowns.get(a)!.points) {
      const hit = crowns.get(b)!.index.closestPoint(point, Math.min(least, 3));
      if (!hit) continue;
      const above = point.reduce((sum, x, k) => sum + (x - hit.pointMm[k]) * hit.normal[k], 0);
      least = above < 0 ? 0 : Math.min(least, hit.distanceMm);
    }
    return least;
  };
  return contactsOf(teeth).map((pair) => ({
    arch: name,
    kind: 'real',
    teeth: pair,
    truthMm: Math.min(distanceMm(...pair), distanceMm(pair[1], pair[0])),
    found: found.find((one) => String(one.teeth) === String(pair)) ?? null,
  }));
}

/** Rows where the surface shows a gap; what is 0 was joined, null left to the marks. */
export const gapsSeen = (rows: readonly SeparationRow[]): readonly SeparationRow[] =>
  rows.filter(({ found }) => found !== null && found.separationMm > 0);

export const errorMm = ({ truthMm, found }: SeparationRow): number => found!.separationMm - truthMm;

/** Share of truths within so many stated SDs; only rows that the surface decided. */
export const insideSd = (rows: readonly SeparationRow[], sds: number): number =>
  rows.filter((row) => Math.abs(errorMm(row)) <= sds * row.found!.sdMm).length / rows.length;
