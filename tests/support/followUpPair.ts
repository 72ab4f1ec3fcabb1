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
import { jittered, noisy, remeshed } from './remesh.ts';
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
  readonly outwardMm?: number; // by which front and premolar crowns are moved away from the arch's middle
  readonly moveMm?: number; // SD of each coordinate of what they are moved besides
  readonly turnRad?: number; // SD of its turn about each axis
  readonly cutMm?: number; // greatest cut of a surface; molars' distal sides are not cut
  readonly triangles?: number; // of the later scan, thinned where its surface is flat; default: its own, evenly spread
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

interface StandingCrown {
  readonly tooth: Tooth;
  readonly centreMm: Vec3;
}

/** Toward mesial along the row of crowns, which run from the patient's right to the left. */
function rowDirection(crowns: readonly StandingCrown[], i: number): Vec3 {
  const [a, b] = [crowns[Math.max(0, i - 1)], crowns[Math.min(crowns.length - 1, i + 1)]];
  const d = [b.centreMm[0] - a.centreMm[0], b.centreMm[1] - a.centreMm[1]];
  const l = Math.hypot(...d) * (archPlace(crowns[i].tooth) < 0 ? 1 : -1);
  return [d[0] / l, d[1] / l, 0];
}

/**
 * Draws what happens to each crown: molars stand, the others move outward, so that they part, a little every other
 * way, turn, and are cut.
 */
function drawTruths(
  crowns: readonly StandingCrown[],
  options: PairOptions,
  mesial: (tooth: Tooth) => Vec3 | null = () => null,
): CrownTruth[] {
  const random = makeRandom(options.seed);
  const normal = normalFrom(random);
  const { outwardMm = 0.7, moveMm = 0.15, turnRad = 0.05, cutMm = 0.4 } = options;
  const middleY = Math.max(...crowns.map(({ centreMm }) => centreMm[1])) - 25;
  return crowns.map(({ tooth, centreMm }, i) => {
    const out: Vec3 = [centreMm[0], centreMm[1] - middleY, 0];
    const by = outwardMm / Math.hypot(...out);
    const three = (sd: number): Vec3 => [sd * normal(), sd * normal(), sd * normal()];
    const still = isMolar(tooth);
    const [dx, dy, dz] = three(moveMm);
    const motion = still
      ? motionAbout(centreMm, [0, 0, 0], [0, 0, 0])
      : motionAbout(centreMm, three(turnRad), [by * out[0] + dx, by * out[1] + dy, dz]);
    const cut = (): number => Math.round(10 * cutMm * random()) / 10;
    return {
      tooth,
      centreMm,
      along: mesial(tooth) ?? rowDirection(crowns, i),
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
  { seed, noiseMm = 0.01, triangles }: PairOptions,
): Promise<FollowUpPair> {
  const random = makeRandom(seed + 1000);
  const earlier = noisy(makeMesh(before.positions, before.indices), noiseMm, seed + 1);
  const other = triangles ? await remeshed(after, triangles, random) : jittered(after, random);
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
  const jaw = jawOf(crowns[0].tooth);
  const uncut = await crownsInGum(crowns);
  // Where to cut is taken from the program; how much is gone is not.
  const found = preparedScan(makeMesh(uncut.positions, uncut.indices), jaw, 'uncut');
  const truths = drawTruths(
    crowns.map((c) => ({ tooth: c.tooth, centreMm: middleOf(c) })),
    options,
    (tooth) => found.crowns.get(tooth)?.mesial ?? null,
  );
  const contactOf = (tooth: Tooth, side: number): Vec3 => {
    const crown = found.crowns.get(tooth);
    const site = crown?.sites[side];
    if (!site) throw new Error(`crownsPair: ${tooth} has no contact point to cut at.`);
    return site.pointMm;
  };
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
      const farthest = farthestNear(crown, out, contactOf(truths[i].tooth, side));
      body = body.trimByPlane(out.map((c) => -c) as [number, number, number], cut - farthest);
    });
    const { vertProperties, triVerts } = body.refineToLength(FINE_MM).getMesh();
    const positions = new Float32Array(vertProperties.length);
    for (let v = 0; v < positions.length; v += 3)
      positions.set(movedBy(motion, [vertProperties[v], vertProperties[v + 1], vertProperties[v + 2]]), v);
    return { tooth: crown.tooth, positions, indices: triVerts };
  });
  return scanned(jaw, uncut, await crownsInGum(changed), truths, options);
}

const FINE_MM = 0.35; // a cut is a plane of few triangles; a scan's are even
const ZONE_MM = 1; // round a contact point

/** How far a crown reaches along a direction near its contact point. */
function farthestNear({ positions: p }: ClosedCrown, out: Vec3, contactMm: Vec3): number {
  let farthest = -Infinity;
  for (let v = 0; v < p.length; v += 3) {
    const d = [0, 1, 2].map((k) => p[v + k] - contactMm[k]);
    const along = d[0] * out[0] + d[1] * out[1] + d[2] * out[2];
    const aside = Math.hypot(d[0] - along * out[0], d[1] - along * out[1], d[2] - along * out[2]);
    if (aside < ZONE_MM) farthest = Math.max(farthest, along);
  }
  return farthest + contactMm[0] * out[0] + contactMm[1] * out[1] + contactMm[2] * out[2];
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
