import { type ArchFrame, pointInArch } from '../../arch/ArchFrame.ts';
import type { CrownMap } from '../../crowns/findCrowns.ts';
import type { ScanMesh } from '../../scan/ScanMesh.ts';
import type { StandingTooth } from './StandingTooth.ts';

/** Spacing of a wall's heights, mm: finer than any scan's mesh. */
export const WALL_CELL_MM = 0.15;

/**
 * One side of a crown, as heights over a grid: how far its surface stands out toward that side of the crown's middle,
 * by place across the crown (toward the left of the way to that side) and height in the arch frame.
 */
export interface CrownWall {
  readonly rows: readonly WallRow[];
  readonly firstRow: number; // its height is firstRow · WALL_CELL_MM
}

/** One level of a wall: heights at places `from`, `from` + 1, … in cells across the crown; none where empty. */
export interface WallRow {
  readonly from: number;
  readonly outMm: Float32Array;
}

/** The lower part of a crown is left out: there the region may hold gum. As in core/crowns/crownShape.ts. */
const LOW_SHARE = 0.1;

/**
 * Nothing of a crown stands out further than its contact point: what does is a piece of the neighbour, or the mark's own
 * error. Our choice, two SDs of a mark.
 */
const BEYOND_MM = 0.15;

/** Triangles of a crown in its own frame: along its mesiodistal direction (right to left), across, height; mm. */
export interface OwnSurface {
  readonly points: Float64Array; // 9 per triangle
  readonly halfWidthMm: number; // to its contact points
}

/** The faces of one crown in the frame of the tooth as it stands. */
export function ownSurface(
  mesh: Pick<ScanMesh, 'positions' | 'indices'>,
  frame: ArchFrame,
  {
    faceCrown,
    crowns,
  }: Pick<CrownMap, 'faceCrown'> & { readonly crowns: readonly { readonly tooth: number }[] },
  tooth: StandingTooth,
): OwnSurface | null {
  const label = 1 + crowns.findIndex((crown) => crown.tooth === tooth.tooth);
  if (label === 0) return null;
  const { positions: p, indices } = mesh;
  const { centreMm, directionRad } = tooth.pose;
  const [c, s] = [Math.cos(directionRad), Math.sin(directionRad)];
  let count = 0;
  for (let f = 0; f < faceCrown.length; f++) if (faceCrown[f] === label) count++;
  const points = new Float64Array(9 * count);
  let o = 0;
  for (let f = 0; f < faceCrown.length; f++) {
    if (faceCrown[f] !== label) continue;
    for (let k = 0; k < 3; k++) {
      const v = 3 * indices[3 * f + k];
      const [x, y, z] = pointInArch(frame, [p[v], p[v + 1], p[v + 2]]);
      const [dx, dy] = [x - centreMm[0], y - centreMm[1]];
      points[o++] = c * dx + s * dy;
      points[o++] = c * dy - s * dx;
      points[o++] = z;
    }
  }
  return count > 0 ? { points, halfWidthMm: tooth.widthMm / 2 } : null;
}

/**
 * The wall of a crown toward one side. Places a scanner's web hides are bridged straight across at their height, so
 * that the wall closes where the neighbours touched.
 *
 * Units:    mm.
 * Accuracy: see wallGap, of which two walls are all that is known — tests/core/reduction/motion/wallGap.test.ts.
 */
export function crownWall({ points, halfWidthMm }: OwnSurface, side: 'left' | 'right'): CrownWall {
  const sign = side === 'left' ? 1 : -1;
  let [low, high, least, most] = [Infinity, -Infinity, Infinity, -Infinity];
  for (let i = 0; i < points.length; i += 3) {
    low = Math.min(low, points[i + 2]);
    high = Math.max(high, points[i + 2]);
    least = Math.min(least, points[i + 1]);
    most = Math.max(most, points[i + 1]);
  }
  const firstRow = Math.ceil((low + LOW_SHARE * (high - low)) / WALL_CELL_MM);
  const rowCount = Math.max(0, Math.floor(high / WALL_CELL_MM) - firstRow + 1);
  const reach = Math.ceil(Math.max(Math.abs(least), Math.abs(most)) / WALL_CELL_MM) + 1;
  const width = 2 * reach + 1;
  const grid = new Float32Array(width * rowCount).fill(Number.NEGATIVE_INFINITY);
  for (let i = 0; i < points.length; i += 9) {
    // Only the half that looks to this side.
    const outMm = (sign * (points[i] + points[i + 3] + points[i + 6])) / 3;
    if (outMm < 0 || outMm > halfWidthMm + BEYOND_MM) continue;
    fillTriangle(points, i, sign, { grid, width, reach, firstRow, rowCount });
  }
  const rows: WallRow[] = [];
  for (let r = 0; r < rowCount; r++) rows.push(bridged(grid.subarray(r * width, (r + 1) * width), reach));
  return { rows, firstRow };
}

interface WallGrid {
  readonly grid: Float32Array;
  readonly width: number;
  readonly reach: number;
  readonly firstRow: number;
  readonly rowCount: number;
}

/** Writes the outermost place of a triangle at every grid point it covers, across and in height. */
function fillTriangle(
  p: Float64Array,
  i: number,
  sign: number,
  { grid, width, reach, firstRow, rowCount }: WallGrid,
): void {
  const [ax, az] = [(sign * p[i + 1]) / WALL_CELL_MM, p[i + 2] / WALL_CELL_MM];
  const [bx, bz] = [(sign * p[i + 4]) / WALL_CELL_MM, p[i + 5] / WALL_CELL_MM];
  const [cx, cz] = [(sign * p[i + 7]) / WALL_CELL_MM, p[i + 8] / WALL_CELL_MM];
  const area = (bx - ax) * (cz - az) - (cx - ax) * (bz - az);
  if (Math.abs(area) < 1e-9) return;
  const fromZ = Math.max(firstRow, Math.ceil(Math.min(az, bz, cz)));
  const toZ = Math.min(firstRow + rowCount - 1, Math.floor(Math.max(az, bz, cz)));
  const fromX = Math.max(-reach, Math.ceil(Math.min(ax, bx, cx)));
  const toX = Math.min(reach, Math.floor(Math.max(ax, bx, cx)));
  for (let z = fromZ; z <= toZ; z++) {
    for (let x = fromX; x <= toX; x++) {
      const wb = ((x - ax) * (cz - az) - (cx - ax) * (z - az)) / area;
      const wc = ((bx - ax) * (z - az) - (x - ax) * (bz - az)) / area;
      const wa = 1 - wb - wc;
      if (wa < -1e-9 || wb < -1e-9 || wc < -1e-9) continue;
      const out = sign * (wa * p[i] + wb * p[i + 3] + wc * p[i + 6]);
      const at = (z - firstRow) * width + x + reach;
      if (out > grid[at]) grid[at] = out;
    }
  }
}

/** One level without its empty margins; what is empty between is bridged straight. */
function bridged(level: Float32Array, reach: number): WallRow {
  let first = 0;
  let last = level.length - 1;
  while (first <= last && level[first] === Number.NEGATIVE_INFINITY) first++;
  while (last >= first && level[last] === Number.NEGATIVE_INFINITY) last--;
  if (first > last) return { from: 0, outMm: new Float32Array(0) };
  const outMm = level.slice(first, last + 1);
  for (let i = 1; i < outMm.length; i++) {
    if (outMm[i] !== Number.NEGATIVE_INFINITY) continue;
    let j = i;
    while (outMm[j] === Number.NEGATIVE_INFINITY) j++;
    const step = (outMm[j] - outMm[i - 1]) / (j - i + 1);
    for (; i < j; i++) outMm[i] = outMm[i - 1] + step;
  }
  return { from: first - reach, outMm };
}
