import { describe, expect, it } from 'vitest';
import { type ArchFrame, sideways } from '../../../src/core/arch/ArchFrame.ts';
import { findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import { cross, dot, length, subtract, type Vec3 } from '../../../src/core/base/Vec3.ts';
import { openScan } from '../../../src/core/scan/openScan.ts';
import type { ScanMesh } from '../../../src/core/scan/ScanMesh.ts';
import type { ArchRecipe } from '../../../src/samples/ArchRecipe.ts';
import { makeArch } from '../../../src/samples/makeArch.ts';
import type { SampleTruth } from '../../../src/samples/sampleTruth.ts';
import { makeBox, makeMesh, makeSphere } from '../../support/meshes.ts';
import { makeTurn, movedMesh, shuffledFaces, turned } from '../../support/moveMesh.ts';
import { makeRandom } from '../../support/random.ts';
import { hasSharedScans, sharedFaceTeeth, sharedScan } from '../../support/sharedScans.ts';

const angleDeg = (a: Vec3, b: Vec3): number => (Math.acos(Math.min(1, dot(a, b))) * 180) / Math.PI;
const TILT_DEG = 5;

function expectFrame(found: ArchFrame, occlusal: Vec3, forward: Vec3, forwardDeg = TILT_DEG): void {
  expect(angleDeg(found.occlusal, occlusal)).toBeLessThan(TILT_DEG);
  expect(angleDeg(found.forward, forward)).toBeLessThan(forwardDeg);
  expect(dot(sideways(found), cross(forward, occlusal))).toBeGreaterThan(0.99);
}

/** The scan closed by a base as poured in plaster: its rim carried down to a plane, and a bottom. */
function onPlaster(mesh: ScanMesh, up: Vec3, belowMm: number): ScanMesh {
  const n = mesh.positions.length / 3;
  const positions = new Float32Array(2 * mesh.positions.length);
  positions.set(mesh.positions);
  let lowest = Infinity;
  const at = (v: number): Vec3 => [
    mesh.positions[3 * v],
    mesh.positions[3 * v + 1],
    mesh.positions[3 * v + 2],
  ];
  for (let v = 0; v < n; v++) lowest = Math.min(lowest, dot(at(v), up));
  for (let v = 0; v < n; v++) {
    const drop = dot(at(v), up) - lowest + belowMm;
    at(v).forEach((x, k) => {
      positions[3 * (n + v) + k] = x - drop * up[k];
    });
  }
  const directed = new Set<number>();
  const { indices } = mesh;
  for (let f = 0; f < indices.length; f += 3)
    for (let k = 0; k < 3; k++) directed.add(indices[f + k] * n + indices[f + ((k + 1) % 3)]);
  const faces = [...indices];
  for (let f = 0; f < indices.length; f += 3) {
    faces.push(n + indices[f], n + indices[f + 2], n + indices[f + 1]);
    for (let k = 0; k < 3; k++) {
      const [a, b] = [indices[f + k], indices[f + ((k + 1) % 3)]];
      if (!directed.has(b * n + a)) faces.push(b, a, n + a, b, n + a, n + b);
    }
  }
  return makeMesh(positions, faces);
}

describe('arch frame of generated arches', () => {
  const recipes: ArchRecipe[] = [
    { jaw: 'lower', seed: 71, pose: 'any' },
    { jaw: 'lower', seed: 72, pose: 'any', crowdingMm: 6, noiseMm: 0.03, gumMm: 9 },
    { jaw: 'lower', seed: 73, pose: 'any', spacingMm: 4, gumMm: 2.5 },
    { jaw: 'upper', seed: 74, pose: 'any', gumMm: 9 },
    { jaw: 'upper', seed: 75, pose: 'any', crowdingMm: 6, gumMm: 2.5 },
    { jaw: 'upper', seed: 76, pose: 'any', missing: [{ tooth: 12, space: 'open' }], noiseMm: 0.03 },
  ].map((r) => ({ ...r, triangles: 30_000 }) as ArchRecipe);

  it.each(recipes)('$jaw seed $seed: tilt and forward within 5°, also on a plaster base', (recipe) => {
    const { mesh, truth } = makeArch(recipe);
    const scan = makeMesh(mesh.positions, mesh.indices);
    const found = findArchFrame(scan);
    expectFrame(found.frame, truth.frame.occlusal, truth.frame.forward);
    expect(found.confidence).toBeGreaterThan(0.7);
    expect(found.warnings).toEqual([]);
    const poured = findArchFrame(onPlaster(scan, truth.frame.occlusal, 8));
    expectFrame(poured.frame, truth.frame.occlusal, truth.frame.forward);
  });

  it('moves with the scan and does not ask in which order faces come', () => {
    const { mesh } = makeArch(recipes[1]);
    const scan = makeMesh(mesh.positions, mesh.indices);
    const { frame } = findArchFrame(scan);
    const random = makeRandom(5);
    for (let k = 0; k < 4; k++) {
      const turn = makeTurn(random);
      const shift: Vec3 = [random() * 100, random() * 100, random() * 100];
      const moved = findArchFrame(shuffledFaces(movedMesh(scan, turn, shift), random)).frame;
      // Rounding to float32 lets a few faces change their 0.8 mm cell; that is all that may be seen.
      expect(angleDeg(moved.occlusal, turned(turn, frame.occlusal))).toBeLessThan(0.05);
      expect(angleDeg(moved.forward, turned(turn, frame.forward))).toBeLessThan(0.1);
    }
  });
});

// The generator's second molars dip by 0.55 of the curve's depth: the plane over front edges and last molars itself
// leans by up to 4.3° from the level the arch is built on. Deeper than 5 mm, or without second molars, it leans more.
describe('a deep curve of Spee', () => {
  const middle = (a: Vec3, b: Vec3): Vec3 => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2];
  /** Angle out of the plane of `frame` of the way from the last molars' cusps to the front edges, by truth; degrees. */
  const leanDeg = (frame: ArchFrame, { teeth }: SampleTruth, last: number): number => {
    const of = (position: number) => teeth.filter((t) => t.tooth % 10 === position);
    const edge = middle(of(1)[0].incisalMm!, of(1)[1].incisalMm!);
    const way = subtract(edge, middle(of(last)[0].cuspMm!, of(last)[1].cuspMm!));
    return (Math.asin(dot(way, frame.occlusal) / length(way)) * 180) / Math.PI;
  };
  const recipes = (['lower', 'upper'] as const).flatMap((jaw) =>
    [4, 5].flatMap((speeMm) =>
      [0, 3].map(
        (crowdingMm): ArchRecipe => ({
          jaw,
          seed: 400 + 10 * speeMm + crowdingMm,
          speeMm,
          crowdingMm,
          pose: 'any',
          noiseMm: 0.01 * crowdingMm,
          gumMm: crowdingMm ? 2.5 : 9,
          triangles: 30_000,
        }),
      ),
    ),
  );

  it.each(recipes)('$jaw, $speeMm mm, $crowdingMm mm crowded: within 5°, also on a base', (recipe) => {
    const { mesh, truth } = makeArch(recipe);
    const scan = makeMesh(mesh.positions, mesh.indices);
    for (const form of [scan, onPlaster(scan, truth.frame.occlusal, 8)]) {
      const { frame } = findArchFrame(form);
      expectFrame(frame, truth.frame.occlusal, truth.frame.forward);
      expect(Math.abs(leanDeg(frame, truth, 7))).toBeLessThan(1.5);
    }
  });

  it.each(['lower', 'upper'] as const)(
    '%s: the last molars are the first where there are no second',
    (jaw) => {
      const unerupted = jaw === 'lower' ? [37, 47] : [17, 27];
      const { mesh, truth } = makeArch({ jaw, seed: 441, speeMm: 4, unerupted, triangles: 30_000 });
      const { frame } = findArchFrame(makeMesh(mesh.positions, mesh.indices));
      expect(Math.abs(leanDeg(frame, truth, 6))).toBeLessThan(1.5);
    },
  );
});

// Truth: the labelled crowns' own frame as their files lie: occlusal along an axis of the file.
describe.skipIf(!hasSharedScans)('arch frame of real surfaces', () => {
  const open = async (name: Parameters<typeof sharedScan>[0]) =>
    (await openScan(sharedScan(name), `${name}.stl`)).mesh;
  const cut = (mesh: ScanMesh, keep: (f: number, centre: Vec3) => boolean): ScanMesh => {
    const { positions: p, indices } = mesh;
    const faces: number[] = [];
    for (let f = 0; f < indices.length; f += 3) {
      const corner = [indices[f], indices[f + 1], indices[f + 2]];
      const mean = (k: number): number => corner.reduce((s, v) => s + p[3 * v + k], 0) / 3;
      if (keep(f / 3, [mean(0), mean(1), mean(2)])) faces.push(...corner);
    }
    return makeMesh(p, faces);
  };

  it('whole arch with palate and long gum, upside down in its file', async () => {
    const mesh = await open('arch-b-upper');
    const found = findArchFrame(mesh);
    expectFrame(found.frame, [0, 0, -1], [0, -1, 0]);
    expect(found.confidence).toBeGreaterThan(0.7);
  });

  it('the same arch without palate, trimmed askew, short of a molar, or poured', async () => {
    const mesh = await open('arch-b-upper');
    const teeth = sharedFaceTeeth('arch-b-upper');
    const variants = [
      cut(mesh, (f) => teeth[f] > 0),
      cut(mesh, (_, c) => c[2] + 0.15 * c[1] < 28),
      cut(mesh, (_, c) => c[2] - 0.15 * c[1] < 30),
      cut(mesh, (_, c) => !(c[0] < 0 && c[1] > 12)),
      onPlaster(mesh, [0, 0, -1], 6),
    ];
    for (const variant of variants) expectFrame(findArchFrame(variant).frame, [0, 0, -1], [0, -1, 0]);
  });

  it('loose closed crowns without gum', async () => {
    expectFrame(findArchFrame(await open('crowns-a-upper')).frame, [0, -1, 0], [0, 0, 1]);
    expectFrame(findArchFrame(await open('crowns-a-lower')).frame, [0, 1, 0], [0, 0, 1]);
  });
});

describe('what is no arch', () => {
  it.each([
    ['a ball', makeSphere(25, 4)],
    ['a single tooth', makeSphere(4, 4)],
    ['a box of 12 triangles', makeBox(60, 50, 15)],
  ])('refuses %s', (_, mesh) => {
    expect(() => findArchFrame(mesh)).toThrow(expect.objectContaining({ code: 'not-an-arch' }));
  });

  it('names what it got and what to do', () => {
    expect(() => findArchFrame(makeSphere(4, 4))).toThrow(/got .*need .*three points/s);
  });
});
