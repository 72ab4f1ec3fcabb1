import { beforeAll, describe, expect, it } from 'vitest';
import { archFrame } from '../../../src/core/arch/ArchFrame.ts';
import type { Contact } from '../../../src/core/base/tooth.ts';
import type { Vec3 } from '../../../src/core/base/Vec3.ts';
import {
  contactMarks,
  markedContacts,
  surfaceSeparationMm,
  surfaceSeparations,
} from '../../../src/core/marks/surfaceSeparations.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { makeMesh, makeSphere } from '../../support/meshes.ts';
import { rms } from '../../support/proposeExperiment.ts';
import {
  errorMm,
  gapsSeen,
  insideSd,
  type SeparationRow,
  separationArches,
  separationsGenerated,
  separationsReal,
} from '../../support/separationExperiment.ts';
import { hasSharedScans } from '../../support/sharedScans.ts';

const UPRIGHT = archFrame([0, 0, 0], [0, 0, 1], [0, 1, 0]);
const RADIUS_MM = 4;

/** Two spheres, the second `offMm` away from touching the first at (4, 0, 0), moved aside by `asideMm` along y. */
function twoSpheres(offMm: number, asideMm: number) {
  const sphere = makeSphere(RADIUS_MM, 5);
  const count = sphere.positions.length / 3;
  const centre: Vec3 = [2 * RADIUS_MM + offMm, asideMm, 0];
  const moved = sphere.positions.map((v, i) => v + centre[i % 3]);
  const mesh = makeMesh(
    [...sphere.positions, ...moved],
    [...sphere.indices, ...Array.from(sphere.indices, (i) => i + count)],
  );
  const apartMm = Math.hypot(...centre) - 2 * RADIUS_MM;
  return { index: surfaceIndex(mesh), centre, apartMm };
}

/** Two spheres that run into each other on either side of x = 0, as one surface of revolution about x. */
function joinedSpheres(neckRadiusMm: number) {
  const centreMm = Math.sqrt(RADIUS_MM ** 2 - neckRadiusMm ** 2);
  const [rings, spokes] = [160, 96];
  const half = centreMm + RADIUS_MM;
  const positions: number[] = [];
  const indices: number[] = [];
  for (let i = 0; i <= rings; i++) {
    const x = -half * Math.cos((Math.PI * i) / rings);
    const radius = Math.sqrt(Math.max(0, RADIUS_MM ** 2 - (Math.abs(x) - centreMm) ** 2)) + 1e-4;
    for (let k = 0; k < spokes; k++) {
      const angle = (2 * Math.PI * k) / spokes;
      positions.push(x, radius * Math.cos(angle), radius * Math.sin(angle));
      if (i === rings) continue;
      const [a, b] = [i * spokes + k, i * spokes + ((k + 1) % spokes)];
      indices.push(a, b, a + spokes, b, b + spokes, a + spokes);
    }
  }
  return makeMesh(positions, indices);
}

const marksOf = (centre: Vec3, off: Vec3 = [0, 0, 0]) => ({
  nearMm: [
    [RADIUS_MM, off[1], off[2]],
    [centre[0] - RADIUS_MM, centre[1] - off[1], centre[2] + off[2]],
  ] as const,
  farMm: [
    [-RADIUS_MM, 0, 0],
    [centre[0] + RADIUS_MM, centre[1], 0],
  ] as const,
});

describe('two spheres', () => {
  it.each([
    [0.15, 0],
    [0.5, 0],
    [1, 0.5],
    [0.4, 1.5],
  ])('%f mm off, %f mm out of line: the distance of their surfaces', (offMm, asideMm) => {
    const { index, centre, apartMm } = twoSpheres(offMm, asideMm);
    const got = surfaceSeparationMm(index, UPRIGHT, marksOf(centre, [0, 0.2, 0.3]))!;
    expect(Math.abs(got.separationMm - apartMm)).toBeLessThan(0.01);
    expect(got.sdMm).toBeGreaterThan(0.03);
  });

  it('turns with the scan', () => {
    const { index, centre } = twoSpheres(0.4, 0.8);
    const turn = ([x, y, z]: Vec3): Vec3 => [y + 7, z - 3, x + 1];
    const turned = makeMesh(
      Array.from({ length: index.mesh.positions.length / 3 }, (_, v) =>
        turn([...index.mesh.positions.subarray(3 * v, 3 * v + 3)] as unknown as Vec3),
      ).flat(),
      index.mesh.indices,
    );
    const marks = marksOf(centre, [0, 0.1, 0.2]);
    const moved = {
      nearMm: [turn(marks.nearMm[0]), turn(marks.nearMm[1])] as const,
      farMm: [turn(marks.farMm[0]), turn(marks.farMm[1])] as const,
    };
    const frame = archFrame([0, 0, 0], [0, 1, 0], [1, 0, 0]);
    const here = surfaceSeparationMm(index, UPRIGHT, marks)!;
    const there = surfaceSeparationMm(surfaceIndex(turned), frame, moved)!;
    expect(Math.abs(there.separationMm - here.separationMm)).toBeLessThan(1e-4);
  });

  it('joined by a neck as wide as a web: 0', () => {
    const marks = {
      nearMm: [
        [0.1, 0, 0],
        [-0.1, 0, 0],
      ] as const,
      farMm: [
        [-2 * RADIUS_MM, 0, 0],
        [2 * RADIUS_MM, 0, 0],
      ] as const,
    };
    const got = surfaceSeparationMm(surfaceIndex(joinedSpheres(0.9)), UPRIGHT, marks);
    expect(got).toEqual({ separationMm: 0, sdMm: 0.1 });
  });

  it('says nothing where a point is not marked', () => {
    const { index } = twoSpheres(0.5, 0);
    const pair: Contact = [11, 21];
    const marks = [
      { tooth: 11, site: 'mesial', pointMm: [4, 0, 0] },
      { tooth: 11, site: 'distal', pointMm: [-4, 0, 0] },
      { tooth: 21, site: 'mesial', pointMm: [4.5, 0, 0] },
    ] as const;
    expect(contactMarks(marks, pair)).toBeNull();
    expect(markedContacts(marks)).toEqual([pair]);
    expect(surfaceSeparations(index, UPRIGHT, marks)).toEqual([]);
  });
});

// Generated arches have exact truth and share no shape code with what measures them.
describe('thirty generated arches, marks proposed', () => {
  let rows: readonly SeparationRow[] = [];
  beforeAll(() => {
    rows = separationArches().flatMap(separationsGenerated);
  }, 600_000);
  const touching = () => rows.filter((row) => row.truthMm === 0);

  it('measures gaps it sees: RMS 0.08 mm, none off by more than 0.25 mm', () => {
    const errors = gapsSeen(rows).map(errorMm);
    console.info(
      `gaps seen ${errors.length}, true ones ${rows.filter((row) => row.truthMm > 0).length}, RMS ${rms(errors).toFixed(3)}, worst ${Math.max(...errors.map(Math.abs)).toFixed(3)} mm`,
    );
    expect(errors.length).toBeGreaterThan(40);
    expect(rms(errors)).toBeLessThan(0.08);
    expect(Math.max(...errors.map(Math.abs))).toBeLessThan(0.25);
  });

  it('sees most gaps that a web does not hide', () => {
    const wide = rows.filter((row) => row.truthMm > 0.3);
    expect(gapsSeen(wide).length / wide.length).toBeGreaterThan(0.65);
  });

  it('sees no gap above 0.15 mm where crowns touch, bar one', () => {
    const gaps = gapsSeen(touching()).filter((row) => row.found!.separationMm > 0.15);
    expect(touching().length).toBeGreaterThan(200);
    expect(gaps.length).toBeLessThanOrEqual(1);
  });

  it('states a standard deviation that the errors bear out', () => {
    const seen = gapsSeen(rows);
    console.info(
      `truths inside 1 SD ${insideSd(seen, 1).toFixed(2)}, inside 2 SD ${insideSd(seen, 2).toFixed(2)}`,
    );
    expect(insideSd(seen, 1)).toBeGreaterThan(0.6);
    expect(insideSd(seen, 1)).toBeLessThan(0.9);
    expect(insideSd(seen, 2)).toBeGreaterThan(0.93);
  });

  it('calls nothing joined that is wider than a web can hide', () => {
    const joined = rows.filter((row) => row.found?.separationMm === 0);
    console.info(
      `joined ${joined.length}, of which apart ${joined.filter((row) => row.truthMm > 0).length}, worst ${Math.max(...joined.map((row) => row.truthMm)).toFixed(3)} mm`,
    );
    expect(Math.max(...joined.map((row) => row.truthMm))).toBeLessThan(0.35);
    expect(joined.filter((row) => row.truthMm > 0.1).length / joined.length).toBeLessThan(0.05);
  });
});

describe.skipIf(!hasSharedScans)('real crowns, each a surface of its own', () => {
  it.each(['crowns-a-upper', 'crowns-a-lower'] as const)(
    '%s: within 0.05 mm of the distance of the surfaces',
    async (name) => {
      const rows = await separationsReal(name);
      const seen = gapsSeen(rows);
      const errors = seen.map(errorMm);
      console.info(`${name}: ${seen.length} of ${rows.length} seen, RMS ${rms(errors).toFixed(3)} mm`);
      expect(seen.length).toBeGreaterThanOrEqual(8);
      expect(Math.max(...errors.map(Math.abs))).toBeLessThan(0.05);
    },
  );
});
