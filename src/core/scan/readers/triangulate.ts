/** Most corners of one polygon; larger ones are refused, so that cutting them can never take long. */
export const MAX_POLYGON_CORNERS = 255;

/**
 * Cuts a polygon into triangles of its own corners, order kept: a fan where it is convex, ears where not.
 *
 * Shape:    corners — n ≥ 3 vertex numbers; positions — 3 per vertex, any unit.
 *           Calls `emit` n − 2 times (fewer never; a polygon without area falls back to a fan).
 * Source:   Meisters GH, "Polygons have ears", Am Math Mon 1975;82:648–651 — from memory, unverified.
 */
export function triangulate(
  corners: readonly number[],
  positions: Float32Array,
  emit: (a: number, b: number, c: number) => void,
): void {
  const n = corners.length;
  const flat = flatten(corners, positions);
  const left = corners.map((_, i) => i);
  if (n > 3 && !isConvex(flat, left)) {
    while (left.length > 3) {
      const ear = left.findIndex((_, i) => isEar(flat, left, i));
      if (ear < 0) break;
      const [before, at, after] = around(left, ear);
      emit(corners[before], corners[at], corners[after]);
      left.splice(ear, 1);
    }
  }
  for (let i = 2; i < left.length; i++) emit(corners[left[0]], corners[left[i - 1]], corners[left[i]]);
}

/** The corners dropped on the plane their area normal is nearest to, seen so that they run counter-clockwise. */
function flatten(corners: readonly number[], positions: Float32Array): Float64Array {
  const normal = [0, 0, 0];
  const n = corners.length;
  for (let i = 0; i < n; i++) {
    const p = corners[i] * 3;
    const q = corners[(i + 1) % n] * 3;
    for (let axis = 0; axis < 3; axis++) {
      const u = (axis + 1) % 3;
      const v = (axis + 2) % 3;
      normal[axis] += (positions[p + u] - positions[q + u]) * (positions[p + v] + positions[q + v]);
    }
  }
  const size = normal.map(Math.abs);
  const axis = size[0] >= size[1] && size[0] >= size[2] ? 0 : size[1] >= size[2] ? 1 : 2;
  const [u, v] = normal[axis] < 0 ? [(axis + 2) % 3, (axis + 1) % 3] : [(axis + 1) % 3, (axis + 2) % 3];
  const flat = new Float64Array(2 * n);
  for (let i = 0; i < n; i++) {
    flat[2 * i] = positions[corners[i] * 3 + u];
    flat[2 * i + 1] = positions[corners[i] * 3 + v];
  }
  return flat;
}

const around = (left: readonly number[], i: number): [number, number, number] => [
  left[(i + left.length - 1) % left.length],
  left[i],
  left[(i + 1) % left.length],
];

const turn = (flat: Float64Array, a: number, b: number, c: number): number =>
  (flat[2 * b] - flat[2 * a]) * (flat[2 * c + 1] - flat[2 * a + 1]) -
  (flat[2 * b + 1] - flat[2 * a + 1]) * (flat[2 * c] - flat[2 * a]);

const isConvex = (flat: Float64Array, left: readonly number[]): boolean =>
  left.every((_, i) => turn(flat, ...around(left, i)) >= 0);

function isEar(flat: Float64Array, left: readonly number[], i: number): boolean {
  const [a, b, c] = around(left, i);
  if (turn(flat, a, b, c) <= 0) return false;
  return left.every(
    (p) =>
      p === a ||
      p === b ||
      p === c ||
      turn(flat, a, b, p) < 0 ||
      turn(flat, b, c, p) < 0 ||
      turn(flat, c, a, p) < 0,
  );
}
