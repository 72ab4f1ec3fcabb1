import ManifoldModule from 'manifold-3d';
import { archFrame, pointInArch } from '../../src/core/arch/ArchFrame.ts';
import { findArchFrame } from '../../src/core/arch/findArchFrame.ts';
import { archPlace, type Jaw, jawOf, type Tooth } from '../../src/core/base/tooth.ts';
import type { Vec3 } from '../../src/core/base/Vec3.ts';
import { type ComparedScan, comparedScan } from '../../src/core/compare/ComparedScan.ts';
import { motionAbout, movedBy, type RigidMotion } from '../../src/core/compare/RigidMotion.ts';
import { openScan } from '../../src/core/scan/openScan.ts';
import type { ScanMesh } from '../../src/core/scan/ScanMesh.ts';
import { surfaceIndex } from '../../src/core/scan/surfaceIndex.ts';
import { type ClosedCrown, closedCrowns, crownsInGum } from './crownsInGum.ts';
import { makeMesh } from './meshes.ts';
import { makeTurn, movedMesh } from './moveMesh.ts';
import { makeRandom } from './random.ts';
import { noisy, remeshed } from './remesh.ts';
import { type SharedScan, sharedFaceTeeth, sharedScan } from './sharedScans.ts';

/** What was done to one crown between two scans; arch frame of the makings. */
export interface CrownTruth {
  readonly tooth: Tooth;
  readonly centreMm: Vec3;
  readonly along: Vec3; // toward mesial, unit
  readonly motion: RigidMotion;
  readonly cutMm: readonly [number, number]; // mesial, distal
}

export interface FollowUpPair {
  readonly jaw: Jaw;
  readonly earlier: ScanMesh;
  readonly later: ScanMesh;
  readonly truths: readonly CrownTruth[];
}

export interface PairOptions {
  readonly seed: number;
  readonly noiseMm?: number; // RMS of each scan's own noise
  readonly moveMm?: number; // SD of each coordinate of a front or premolar crown's movement
  readonly turnRad?: number; // SD of its turn about each axis
  readonly cutMm?: number; // greatest cut of a surface; molars' distal sides are not cut
  readonly triangles?: number; // of the later scan
}

/** Frames of the real crowns, which lie with the occlusal direction along ∓y. */
const CROWN_FRAMES = {
  'crowns-a-upper': archFrame([0, 0, 0], [0, -1, 0], [0, 0, 1]),
  'crowns-a-lower': archFrame([0, 0, 0], [0, 1, 0], [0, 0, 1]),
} as const;

const isMolar = (tooth: Tooth): boolean => tooth % 10 >= 6;

function normalFrom(random: () => number): () => number {
  return () => Math.sqrt(-2 * Math.log(random() + 1e-12)) * Math.cos(2 * Math.PI * random());
}

const middleOf = ({ positions }: ClosedCrown): Vec3 => {
  const sum = [0, 0, 0];
  for (let i = 0; i < positions.length; i++) sum[i % 3] += positions[i];
  return sum.map((s) => (3 * s) / positions.length) as unknown as Vec3;
};

/** Draws what happens to each crown: molars stand, the others move, turn and are cut. */
function drawTruths(crowns: readonly { tooth: Tooth; centreMm: Vec3 }[], options: PairOptions): CrownTruth[] {
  const random = makeRandom(options.seed);
  const normal = normalFrom(random);
  const { moveMm = 0.5, turnRad = 0.06, cutMm = 0.4 } = options;
  return crowns.map(({ tooth, centreMm }, i) => {
    const [a, b] = [crowns[Math.max(0, i - 1)], crowns[Math.min(crowns.length - 1, i + 1)]];
    const d = [b.centreMm[0] - a.centreMm[0], b.centreMm[1] - a.centreMm[1]];
    // Crowns run from the patient's right to the left: mesial is onward on the right.
    const sign = (archPlace(tooth) < 0 ? 1 : -1) / Math.hypot(...d);
    const three = (sd: number): Vec3 => [sd * normal(), sd * normal(), sd * normal()];
    const still = isMolar(tooth);
    const motion = still
      ? motionAbout(centreMm, [0, 0, 0], [0, 0, 0])
      : motionAbout(centreMm, three(turnRad), three(moveMm));
    const cut = (): number => Math.round(10 * cutMm * random()) / 10;
    return {
      tooth,
      centreMm,
      along: [sign * d[0], sign * d[1], 0],
      motion,
      cutMm: [tooth % 10 === 7 ? 0 : cut(), still ? 0 : cut()],
    };
  });
}

/** Both scans in poses of their own, in other triangles and with noise of their own. */
async function scanned(
  jaw: Jaw,
  before: Pick<ScanMesh, 'positions' | 'indices'>,
  after: Pick<ScanMesh, 'positions' | 'indices'>,
  truths: readonly CrownTruth[],
  { seed, noiseMm = 0.01, triangles = 80_000 }: PairOptions,
): Promise<FollowUpPair> {
  const random = makeRandom(seed + 1000);
  const earlier = noisy(makeMesh(before.positions, before.indices), noiseMm, seed + 1);
  const other = await remeshed(after, triangles, random);
  const posed = movedMesh(other, makeTurn(random), [20 * random(), 30 * random(), -10]);
  return { jaw, earlier, later: noisy(posed, noiseMm, seed + 2), truths };
}

/** Real crowns set in a gum of our own, before and after known cuts and movements. */
export async function crownsPair(
  name: 'crowns-a-upper' | 'crowns-a-lower',
  options: PairOptions,
): Promise<FollowUpPair> {
  const { mesh } = await openScan(sharedScan(name), `${name}.stl`);
  const place = (p: Vec3): Vec3 => pointInArch(CROWN_FRAMES[name], p);
  const crowns = [...closedCrowns(mesh.positions, mesh.indices, sharedFaceTeeth(name), place)].sort(
    (a, b) => archPlace(a.tooth) - archPlace(b.tooth),
  );
  const truths = drawTruths(
    crowns.map((c) => ({ tooth: c.tooth, centreMm: middleOf(c) })),
    options,
  );
  const wasm = await ManifoldModule();
  wasm.setup();
  const changed = crowns.map((crown, i): ClosedCrown => {
    const { along, cutMm, motion } = truths[i];
    let body = new wasm.Manifold(
      new wasm.Mesh({ numProp: 3, vertProperties: crown.positions, triVerts: crown.indices }),
    );
    cutMm.forEach((cut, side) => {
      if (cut === 0) return;
      const out = along.map((c) => (side === 0 ? c : -c)) as [number, number, number];
      let farthest = -Infinity;
      for (let v = 0; v < crown.positions.length; v += 3)
        farthest = Math.max(farthest, crown.positions[v] * out[0] + crown.positions[v + 1] * out[1]);
      body = body.trimByPlane(out.map((c) => -c) as [number, number, number], cut - farthest);
    });
    const { vertProperties, triVerts } = body.getMesh();
    const positions = new Float32Array(vertProperties.length);
    for (let v = 0; v < positions.length; v += 3)
      positions.set(movedBy(motion, [vertProperties[v], vertProperties[v + 1], vertProperties[v + 2]]), v);
    return { tooth: crown.tooth, positions, indices: triVerts };
  });
  return scanned(
    jawOf(crowns[0].tooth),
    await crownsInGum(crowns),
    await crownsInGum(changed),
    truths,
    options,
  );
}

/** The real arch with its crowns moved in its own gum, which stretches between; nothing is cut. */
export async function archPair(name: SharedScan, options: PairOptions): Promise<FollowUpPair> {
  const { mesh } = await openScan(sharedScan(name), `${name}.stl`);
  const { frame } = findArchFrame(mesh);
  const faceTooth = sharedFaceTeeth(name);
  const before = new Float32Array(mesh.positions.length);
  const p = mesh.positions;
  for (let i = 0; i < p.length; i += 3) before.set(pointInArch(frame, [p[i], p[i + 1], p[i + 2]]), i);
  const sums = new Map<Tooth, number[]>();
  const toothOf = new Uint8Array(p.length / 3);
  faceTooth.forEach((tooth, f) => {
    for (let k = 0; k < 3; k++) {
      const v = mesh.indices[3 * f + k];
      toothOf[v] = Math.max(toothOf[v], tooth);
      if (tooth === 0) continue;
      const sum = sums.get(tooth) ?? [0, 0, 0, 0];
      for (let c = 0; c < 3; c++) sum[c] += before[3 * v + c];
      sum[3]++;
      sums.set(tooth, sum);
    }
  });
  const crowns = [...sums]
    .map(([tooth, [x, y, z, n]]) => ({ tooth, centreMm: [x / n, y / n, z / n] as Vec3 }))
    .sort((a, b) => archPlace(a.tooth) - archPlace(b.tooth));
  const truths = drawTruths(crowns, { ...options, cutMm: 0 });
  const motions = new Map(truths.map(({ tooth, motion }) => [tooth, motion]));
  const after = new Float32Array(before.length);
  for (let v = 0; v < toothOf.length; v++) {
    const point: Vec3 = [before[3 * v], before[3 * v + 1], before[3 * v + 2]];
    const motion = motions.get(toothOf[v]);
    after.set(motion ? movedBy(motion, point) : point, 3 * v);
  }
  return scanned(
    jawOf(crowns[0].tooth),
    { positions: before, indices: mesh.indices },
    { positions: after, indices: mesh.indices },
    truths,
    options,
  );
}

/** A mesh opened for comparison as the page would open it: frame and crowns found by the program. */
export function preparedScan(mesh: ScanMesh, jaw: Jaw, sha256: string): ComparedScan {
  const said = { missing: [], unerupted: [], thirdMolars: [] };
  const { frame } = findArchFrame(mesh);
  return comparedScan({ sha256, index: surfaceIndex(mesh), frame, said }, jaw);
}
