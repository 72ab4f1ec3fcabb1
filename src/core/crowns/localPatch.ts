import type { Vec3 } from '../base/Vec3.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';

/** Local axes at a crown: `out` mesiodistal, `up` occlusal, `aside` = up × out. Unit and perpendicular. */
export interface LocalAxes {
  readonly originMm: Vec3;
  readonly out: Vec3;
  readonly aside: Vec3;
  readonly up: Vec3;
}

/** Surface vertices near a point in local axes. */
export interface LocalPatch {
  readonly count: number;
  readonly values: Float64Array; // 7 per vertex: out, aside, up (mm); normal out, aside, up; area (mm²)
}

/** Vertices of the faces that touch a ball, with their normals and the area each stands for. */
export interface NearVertices {
  readonly count: number;
  readonly values: Float64Array; // 7 per vertex, as in LocalPatch but in the scan frame
}

/** One number per vertex, all 0 between calls: scratch kept with the mesh so that a query allocates little. */
const scratch = new WeakMap<SurfaceIndex['mesh'], Int32Array>();

function slotsOf({ mesh }: SurfaceIndex): Int32Array {
  let slots = scratch.get(mesh);
  if (!slots) {
    slots = new Int32Array(mesh.positions.length / 3);
    scratch.set(mesh, slots);
  }
  return slots;
}

/** Gathers the vertices near a point; face order plays no part beyond rounding. */
export function nearVertices(index: SurfaceIndex, centreMm: Vec3, radiusMm: number): NearVertices {
  const { positions, indices, normals } = index.mesh;
  const faces = index.facesWithin(centreMm, radiusMm);
  const slot = slotsOf(index);
  const values = new Float64Array(faces.length * 3 * 7);
  const members = new Uint32Array(faces.length * 3);
  let count = 0;
  for (const face of faces) {
    const a = indices[3 * face];
    const b = indices[3 * face + 1];
    const c = indices[3 * face + 2];
    const ux = positions[3 * b] - positions[3 * a];
    const uy = positions[3 * b + 1] - positions[3 * a + 1];
    const uz = positions[3 * b + 2] - positions[3 * a + 2];
    const vx = positions[3 * c] - positions[3 * a];
    const vy = positions[3 * c + 1] - positions[3 * a + 1];
    const vz = positions[3 * c + 2] - positions[3 * a + 2];
    const [nx, ny, nz] = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    const third = Math.sqrt(nx * nx + ny * ny + nz * nz) / 6;
    for (let corner = 0; corner < 3; corner++) {
      const vertex = indices[3 * face + corner];
      let at = slot[vertex] - 1;
      if (at < 0) {
        at = count++;
        slot[vertex] = count;
        members[at] = vertex;
        for (let k = 0; k < 3; k++) {
          values[7 * at + k] = positions[3 * vertex + k];
          values[7 * at + 3 + k] = normals[3 * vertex + k];
        }
      }
      values[7 * at + 6] += third;
    }
  }
  for (let i = 0; i < count; i++) slot[members[i]] = 0;
  return { count, values: values.subarray(0, count * 7) };
}

/** Those vertices, in local axes, whose normal has at least the cosine `facing` to `out`. */
export function inLocalAxes(near: NearVertices, axes: LocalAxes, facing = -2): LocalPatch {
  const from = near.values;
  const values = new Float64Array(near.count * 7);
  const [ox, oy, oz] = axes.originMm;
  const [ax, ay, az] = axes.out;
  const [bx, by, bz] = axes.aside;
  const [cx, cy, cz] = axes.up;
  let o = 0;
  for (let i = 0; i < from.length; i += 7) {
    const nx = from[i + 3];
    const ny = from[i + 4];
    const nz = from[i + 5];
    const turned = nx * ax + ny * ay + nz * az;
    if (turned < facing) continue;
    const x = from[i] - ox;
    const y = from[i + 1] - oy;
    const z = from[i + 2] - oz;
    values[o] = x * ax + y * ay + z * az;
    values[o + 1] = x * bx + y * by + z * bz;
    values[o + 2] = x * cx + y * cy + z * cz;
    values[o + 3] = turned;
    values[o + 4] = nx * bx + ny * by + nz * bz;
    values[o + 5] = nx * cx + ny * cy + nz * cz;
    values[o + 6] = from[i + 6];
    o += 7;
  }
  return { count: o / 7, values: values.subarray(0, o) };
}
