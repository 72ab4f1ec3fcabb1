import type { Jaw } from '../core/base/tooth.ts';
import { cross, normalize } from '../core/base/Vec3.ts';
import { makeArchField, WEB_MM } from './archField.ts';
import { finishMesh, vertexNormals } from './finishMesh.ts';
import { makeGumField } from './gumField.ts';
import type { PlacedCrown } from './PlacedCrown.ts';
import { type Pose, posed } from './Pose.ts';
import { polygonize } from './polygonize.ts';
import { makeRandom } from './random.ts';
import { makeSpatialNoise } from './scannerNoise.ts';

/** How a scan of an arrangement is taken. */
export interface ScanTaking {
  readonly jaw: Jaw;
  readonly mouthSeed: number; // the gum's own forms
  readonly scanSeed: number; // pose and noise
  readonly noiseMm: number;
  readonly bridgedContacts: boolean;
  readonly pose: 'upright' | 'any';
  readonly triangles: number;
  readonly gumMm: number;
}

export type ScanStep = 'gum' | 'surface' | 'triangles' | 'noise';

/** A scan-like mesh of an arch, whose tooth each face is, and where the scan frame puts the arch. */
export interface ArchScan {
  readonly mesh: {
    readonly positions: Float32Array; // 3 per vertex, mm, scan frame
    readonly indices: Uint32Array; // 3 per face, counter-clockwise from outside
  };
  readonly labels: Uint8Array; // per face: ISO 3950 tooth, 0 gum
  readonly pose: Pose;
}

/** Where the scan frame puts the arch: the patient's upright (x right, y forward, z up), or any pose drawn from the seed. */
function drawPose({ jaw, pose, scanSeed }: ScanTaking): Pose {
  if (pose === 'upright')
    return jaw === 'lower'
      ? { x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1], originMm: [0, 0, 0] }
      : { x: [-1, 0, 0], y: [0, 1, 0], z: [0, 0, -1], originMm: [0, 0, 0] };
  const random = makeRandom(scanSeed, 'pose');
  const z = normalize([random.normal(), random.normal(), random.normal()]);
  const y = normalize(cross(z, [random.normal(), random.normal(), random.normal() + 0.01]));
  const between = () => random.between(-60, 60);
  return { x: cross(y, z), y, z, originMm: [between(), between(), between()] };
}

// The triangle count goes with 1 / step² but for a few parts in a hundred, which small crests and clefts add
// as the grid grows finer; measured 25,000 to 800,000 triangles.
const COARSE_MM = 0.9;
const FINER_ADDS = 1.06;
const ROUNDS = 3;

/**
 * Takes a scan of teeth set in an arch: gum laid round them, meshed, noise laid on, put into its pose.
 * Steps are told as they begin: 'gum', 'surface', 'triangles', 'noise'. The same input gives the same bytes.
 */
export function takeScan(
  teeth: readonly PlacedCrown[],
  taking: ScanTaking,
  onStep: (step: ScanStep) => void = () => {},
): ArchScan {
  onStep('gum');
  const gum = makeGumField(teeth, taking.jaw, taking.mouthSeed, taking.gumMm);
  const field = makeArchField(teeth, gum, taking.bridgedContacts ? WEB_MM.bridged : WEB_MM.open);
  onStep('surface');
  const start = teeth[Math.floor(teeth.length / 2)];
  const from = start.toArch([0, 0, start.crown.heightMm]);
  const coarse = polygonize(field, field.box(COARSE_MM), from).indices.length / 3;
  onStep('triangles');
  const stepMm = COARSE_MM * Math.sqrt((FINER_ADDS * coarse) / taking.triangles);
  const mesh = finishMesh(polygonize(field, field.box(stepMm), from), field, stepMm, ROUNDS);

  const { positions, indices } = mesh;
  const owners = new Uint8Array(positions.length / 3);
  for (let v = 0; v < owners.length; v++)
    owners[v] = field.owner(positions[v * 3], positions[v * 3 + 1], positions[v * 3 + 2]);
  const labels = new Uint8Array(indices.length / 3);
  for (let f = 0; f < labels.length; f++) {
    const [a, b, c] = [owners[indices[f * 3]], owners[indices[f * 3 + 1]], owners[indices[f * 3 + 2]]];
    labels[f] = b === c ? b : a; // two of three, else the first
  }

  onStep('noise');
  const pose = drawPose(taking);
  const noise = makeSpatialNoise(taking.scanSeed);
  const normals = vertexNormals(mesh);
  const scan = new Float32Array(positions.length);
  for (let o = 0; o < positions.length; o += 3) {
    const [x, y, z] = [positions[o], positions[o + 1], positions[o + 2]];
    const d = taking.noiseMm === 0 ? 0 : taking.noiseMm * noise(x, y, z);
    scan.set(posed(pose, [x + d * normals[o], y + d * normals[o + 1], z + d * normals[o + 2]]), o);
  }
  return { mesh: { positions: scan, indices }, labels, pose };
}
