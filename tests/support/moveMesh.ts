import type { Vec3 } from '../../src/core/base/Vec3.ts';
import type { ScanMesh } from '../../src/core/scan/ScanMesh.ts';
import { makeMesh } from './meshes.ts';

/** Rows of a rotation matrix. */
export type Turn = readonly [Vec3, Vec3, Vec3];

/** A rotation drawn evenly (Shoemake's unit quaternion from normal numbers). */
export function makeTurn(random: () => number): Turn {
  const normal = (): number => Math.sqrt(-2 * Math.log(random() + 1e-12)) * Math.cos(2 * Math.PI * random());
  const q = [normal(), normal(), normal(), normal()];
  const [w, x, y, z] = q.map((v) => v / Math.hypot(...q));
  return [
    [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
    [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
    [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
  ];
}

export const turned = (turn: Turn, v: Vec3): Vec3 => {
  const [a, b, c] = turn.map((row) => row[0] * v[0] + row[1] * v[1] + row[2] * v[2]);
  return [a, b, c];
};

/** The mesh turned about the origin, then shifted. */
export function movedMesh(mesh: ScanMesh, turn: Turn, shiftMm: Vec3): ScanMesh {
  const positions = new Float32Array(mesh.positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    const p = turned(turn, [mesh.positions[i], mesh.positions[i + 1], mesh.positions[i + 2]]);
    positions.set([p[0] + shiftMm[0], p[1] + shiftMm[1], p[2] + shiftMm[2]], i);
  }
  return makeMesh(positions, mesh.indices);
}

/** The mirror image across x = 0, still wound outward. */
export function mirroredMesh(mesh: ScanMesh): ScanMesh {
  const positions = mesh.positions.map((x, i) => (i % 3 === 0 ? -x : x));
  const indices = mesh.indices.slice();
  for (let f = 0; f < indices.length; f += 3)
    [indices[f + 1], indices[f + 2]] = [indices[f + 2], indices[f + 1]];
  return makeMesh(positions, indices);
}

/** The same faces in another order. */
export function shuffledFaces(mesh: ScanMesh, random: () => number): ScanMesh {
  const order = Array.from({ length: mesh.indices.length / 3 }, (_, i) => i);
  for (let i = order.length - 1; i > 0; i--) {
    const j = Math.floor(random() * (i + 1));
    [order[i], order[j]] = [order[j], order[i]];
  }
  const indices = new Uint32Array(mesh.indices.length);
  order.forEach((f, i) => {
    indices.set(mesh.indices.subarray(3 * f, 3 * f + 3), 3 * i);
  });
  return makeMesh(mesh.positions, indices);
}
