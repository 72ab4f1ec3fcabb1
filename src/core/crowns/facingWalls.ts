import { add, dot, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import { inLocalAxes, type LocalAxes, type LocalPatch, nearVertices } from './localPatch.ts';
import { makePointGrid, type PointGrid } from './pointGrid.ts';
import { type WallStart, wallFromInside } from './proximalWall.ts';

/** The visible part of one wall. */
export interface WallPart {
  readonly wall: LocalPatch;
  /** Its points that have wall all round, not the ragged edge of what can be seen. */
  readonly inner: LocalPatch;
}

/** Two proximal walls that face each other across a contact, in axes whose `out` leads from the first to the second. */
export interface FacingWalls {
  readonly axes: LocalAxes;
  /** What is surely wall: joined to where rays from inside leave the crown, short of every crease. */
  readonly first: WallPart;
  readonly second: WallPart;
}

/** What rays from inside the two crowns found; null where no point inside was found. */
export type CrownStarts = readonly [WallStart | null, WallStart | null];

const REACH_MM = 3;
const LOWEST_MM = -2.2;
const HIGHEST_MM = 2.5;
const FACING = 0.3; // least cosine of a wall's normal to the way across
const INWARD_MM = 0.55; // of the level at which rays leave, as in contactPoints
const OUTWARD_MM = 0.8;
const SHARP_BEND = 0.3;
const NEIGHBOUR_MM = 0.45;
const SAME_SHEET = 0.3; // least cosine between normals of neighbours on one sheet
const HOLLOW = 0.35; // 1/mm: a crease, a web or a papilla's foot bends inward more than any proximal wall
const CREASE_MM = 0.25;
const JOINED_MM = 0.4;
const JOINED_COS = 0.6;
const INNER_MM = 0.35;
const INNER_RATIO = 0.4;
/** More points than this are thinned to one in each cell of this size: walls need no more. */
const MOST_POINTS = 2500;
const THIN_MM = 0.2;

export const negated = (axes: LocalAxes): LocalAxes => ({
  originMm: axes.originMm,
  out: scale(axes.out, -1),
  up: axes.up,
  aside: scale(axes.aside, -1),
});

/** A point of local axes in the scan frame. */
export const fromLocal = (axes: LocalAxes, [out, aside, up]: Vec3): Vec3 =>
  add(axes.originMm, add(scale(axes.out, out), add(scale(axes.aside, aside), scale(axes.up, up))));

/** Looks at both walls of a contact from inside their crowns. `axes`: origin between them, `out` to the second. */
export const crownStarts = (index: SurfaceIndex, axes: LocalAxes): CrownStarts => [
  wallFromInside(index, axes),
  wallFromInside(index, negated(axes)),
];

/**
 * The clean parts of the two walls beside a contact: what looks at the neighbour at the wall's level, away from
 * every crease, and joined to where rays from inside leave the crown. Webs, papillae and the neighbour lie behind
 * a crease and stay out without any labels. `levelMm`: of either wall where no ray tells.
 *
 * Units:    mm.
 */
export function facingWalls(
  index: SurfaceIndex,
  axes: LocalAxes,
  starts: CrownStarts,
  levelMm: number,
): FacingWalls {
  const near = thinned(inLocalAxes(nearVertices(index, axes.originMm, REACH_MM), axes));
  const v = near.values;
  const grid = makePointGrid(v, near.count, NEIGHBOUR_MM);
  const side = sidesOf(near, [starts[0]?.outMm ?? levelMm, starts[1]?.outMm ?? levelMm]);
  markCreases(near, grid, side);
  const kept = joinedTo(near, grid, side, starts);
  for (let i = 0; i < near.count; i++) if (!kept[i]) side[i] = 0;
  const inner = innerPoints(near, grid, side);
  const chosen = (choose: (i: number) => boolean): LocalPatch => {
    const values = new Float64Array(v.length);
    let count = 0;
    for (let i = 0; i < near.count; i++) if (choose(i)) values.set(v.subarray(7 * i, 7 * i + 7), 7 * count++);
    return { count, values: values.subarray(0, 7 * count) };
  };
  const part = (sign: number): WallPart => ({
    wall: chosen((i) => side[i] === sign),
    inner: chosen((i) => side[i] === sign && inner[i] === 1),
  });
  return { axes, first: part(1), second: part(-1) };
}

/** 1: may be the first wall; −1: may be the second; 0: neither. By direction and by the level rays from inside found. */
function sidesOf({ count, values: v }: LocalPatch, levelsMm: readonly [number, number]): Int8Array {
  const side = new Int8Array(count);
  for (let i = 0; i < count; i++) {
    const o = 7 * i;
    const sign = Math.abs(v[o + 3]) < FACING ? 0 : Math.sign(v[o + 3]);
    if (sign === 0 || v[o + 2] < LOWEST_MM || v[o + 2] > HIGHEST_MM) continue;
    const aboveMm = sign * v[o] - levelsMm[sign > 0 ? 0 : 1];
    const sagMm = SHARP_BEND * (v[o + 1] * v[o + 1] + v[o + 2] * v[o + 2]);
    if (aboveMm < OUTWARD_MM && aboveMm > -INWARD_MM - sagMm) side[i] = sign;
  }
  return side;
}

/** Takes the sides of what lies in or beside a crease away. */
function markCreases({ count, values: v }: LocalPatch, grid: PointGrid, side: Int8Array): void {
  const hollow = new Uint8Array(count);
  for (let i = 0; i < count; i++) {
    const o = 7 * i;
    let rise = 0;
    let spread = 0;
    grid.near(v[o], v[o + 1], v[o + 2], (j) => {
      const q = 7 * j;
      const dx = v[q] - v[o];
      const dy = v[q + 1] - v[o + 1];
      const dz = v[q + 2] - v[o + 2];
      const d2 = dx * dx + dy * dy + dz * dz;
      if (d2 > NEIGHBOUR_MM * NEIGHBOUR_MM || turned(v, o, q) < SAME_SHEET) return;
      rise += v[q + 6] * 2 * (v[o + 3] * dx + v[o + 4] * dy + v[o + 5] * dz);
      spread += v[q + 6] * d2;
    });
    if (rise > HOLLOW * spread && spread > 0) hollow[i] = 1;
  }
  const clear = new Uint8Array(count);
  for (let i = 0; i < count; i++) {
    if (hollow[i]) clear[i] = 1;
    if (side[i] === 0 || hollow[i]) continue;
    const o = 7 * i;
    grid.near(v[o], v[o + 1], v[o + 2], (j) => {
      const q = 7 * j;
      if (hollow[j] && within(v, o, q, CREASE_MM) && turned(v, o, q) >= SAME_SHEET) clear[i] = 1;
    });
  }
  for (let i = 0; i < count; i++) if (clear[i]) side[i] = 0;
}

/** Which points can be reached along the wall from where rays from inside leave their crown. */
function joinedTo(
  { count, values: v }: LocalPatch,
  grid: PointGrid,
  side: Int8Array,
  starts: CrownStarts,
): Uint8Array {
  const joined = new Uint8Array(count);
  starts.forEach((start, k) => {
    const sign = k === 0 ? 1 : -1;
    const open: number[] = [];
    const take = (j: number) => {
      joined[j] = 1;
      open.push(j);
    };
    for (const [out, aside, up] of start?.exits ?? []) {
      const [x, y, z] = [sign * out, sign * aside, up];
      grid.near(x, y, z, (j) => {
        const q = 7 * j;
        const d2 = (v[q] - x) ** 2 + (v[q + 1] - y) ** 2 + (v[q + 2] - z) ** 2;
        if (side[j] === sign && !joined[j] && d2 < JOINED_MM * JOINED_MM) take(j);
      });
    }
    while (open.length > 0) {
      const o = 7 * open.pop()!;
      grid.near(v[o], v[o + 1], v[o + 2], (j) => {
        if (joined[j] || side[j] !== sign) return;
        if (within(v, o, 7 * j, JOINED_MM) && turned(v, o, 7 * j) >= JOINED_COS) take(j);
      });
    }
  });
  return joined;
}

/** 1 where most of the disc round a point is wall. */
function innerPoints({ count, values: v }: LocalPatch, grid: PointGrid, side: Int8Array): Uint8Array {
  const inner = new Uint8Array(count);
  const enough = INNER_RATIO * Math.PI * INNER_MM * INNER_MM;
  for (let i = 0; i < count; i++) {
    if (side[i] === 0) continue;
    const o = 7 * i;
    let area = 0;
    grid.near(v[o], v[o + 1], v[o + 2], (j) => {
      if (side[j] === side[i] && within(v, o, 7 * j, INNER_MM)) area += v[7 * j + 6];
    });
    if (area >= enough) inner[i] = 1;
  }
  return inner;
}

const turned = (v: Float64Array, o: number, q: number): number =>
  v[o + 3] * v[q + 3] + v[o + 4] * v[q + 4] + v[o + 5] * v[q + 5];

const within = (v: Float64Array, o: number, q: number, mm: number): boolean =>
  (v[q] - v[o]) ** 2 + (v[q + 1] - v[o + 1]) ** 2 + (v[q + 2] - v[o + 2]) ** 2 <= mm * mm;

/** A dense mesh as one point, with the mean normal and the whole area, for each small cell and facing. */
function thinned(patch: LocalPatch): LocalPatch {
  if (patch.count <= MOST_POINTS) return patch;
  const v = patch.values;
  const cells = new Map<number, number>();
  const sums = new Float64Array(v.length);
  let count = 0;
  for (let o = 0; o < v.length; o += 7) {
    const cell = (x: number): number => Math.floor(x / THIN_MM) + 64;
    const facing = v[o + 3] > FACING ? 2 : v[o + 3] < -FACING ? 0 : 1;
    const key = ((cell(v[o]) * 128 + cell(v[o + 1])) * 128 + cell(v[o + 2])) * 3 + facing;
    let at = cells.get(key);
    if (at === undefined) {
      at = count++;
      cells.set(key, at);
    }
    for (let k = 0; k < 6; k++) sums[7 * at + k] += v[o + 6] * v[o + k];
    sums[7 * at + 6] += v[o + 6];
  }
  for (let o = 0; o < 7 * count; o += 7) {
    for (let k = 0; k < 3; k++) sums[o + k] /= sums[o + 6];
    const size = Math.hypot(sums[o + 3], sums[o + 4], sums[o + 5]) || 1;
    for (let k = 3; k < 6; k++) sums[o + k] /= size;
  }
  return { count, values: sums.subarray(0, 7 * count) };
}

const FAN_ASIDE_MM = [-0.9, -0.6, -0.3, 0, 0.3, 0.6, 0.9];
const FAN_UP_MM = [0, 0.3, 0.6, 0.9];
const THROUGH_MM = 0.5; // a ray going on this far past the middle between the walls is inside the neighbour

/**
 * Of rays from inside either crown through places round a point between the walls, how many go on into the
 * neighbour without leaving: 0 where there is air, more where crowns touch or a scanner's web joins them.
 * `overlapMm`: how far either wall may stand beyond the point.
 */
export function fusedRatio(
  index: SurfaceIndex,
  axes: LocalAxes,
  starts: CrownStarts,
  middleMm: Vec3,
  overlapMm = 0,
): number {
  const d = subtract(middleMm, axes.originMm);
  const [out, aside, up] = [dot(d, axes.out), dot(d, axes.aside), dot(d, axes.up)];
  let fused = 0;
  let rays = 0;
  for (const start of starts) {
    if (!start) continue;
    for (const y of FAN_ASIDE_MM) {
      for (const h of FAN_UP_MM) {
        const way = subtract(fromLocal(axes, [out, aside + y, up + h]), start.insideMm);
        rays++;
        if (index.raycast(start.insideMm, way, Math.hypot(...way) + THROUGH_MM + overlapMm) === null) fused++;
      }
    }
  }
  return rays > 0 ? fused / rays : 0;
}
