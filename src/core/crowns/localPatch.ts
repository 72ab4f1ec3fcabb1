import { cross, dot, subtract, type Vec3 } from '../base/Vec3.ts';
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
    const u: Vec3 = [
      positions[3 * b] - positions[3 * a],
      positions[3 * b + 1] - positions[3 * a + 1],
      positions[3 * b + 2] - positions[3 * a + 2],
    ];
    const v: Vec3 = [
      positions[3 * c] - positions[3 * a],
      positions[3 * c + 1] - positions[3 * a + 1],
      positions[3 * c + 2] - positions[3 * a + 2],
    ];
    const third = Math.hypot(...cross(u, v)) / 6;
    for (const vertex of [a, b, c]) {
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

/** The same vertices in local axes. */
export function inLocalAxes(near: NearVertices, axes: LocalAxes): LocalPatch {
  const values = new Float64Array(near.count * 7);
  const { out, aside, up } = axes;
  for (let o = 0; o < values.length; o += 7) {
    const p = subtract([near.values[o], near.values[o + 1], near.values[o + 2]], axes.originMm);
    const n: Vec3 = [near.values[o + 3], near.values[o + 4], near.values[o + 5]];
    values[o] = dot(p, out);
    values[o + 1] = dot(p, aside);
    values[o + 2] = dot(p, up);
    values[o + 3] = dot(n, out);
    values[o + 4] = dot(n, aside);
    values[o + 5] = dot(n, up);
    values[o + 6] = near.values[o + 6];
  }
  return { count: near.count, values };
}
