import { hypot3 } from '../base/hypot.ts';
import { Refusal } from '../base/refusal.ts';
import { add, dot, normalize, scale, type Vec2, type Vec3 } from '../base/Vec3.ts';
import type { ScanMesh } from '../scan/ScanMesh.ts';
import { type ArchFrame, archFrame } from './ArchFrame.ts';
import { levelPlane } from './levelPlane.ts';
import { type MirrorAxis, mirrorAxis } from './mirrorAxis.ts';
import { type SurfaceCells, surfaceCells } from './surfaceCells.ts';
import { planeAxes, type TopPlane, topPlane } from './toothTops.ts';

export interface ArchFrameWarning {
  readonly code: 'up-side-doubtful' | 'forward-doubtful' | 'plane-doubtful';
  readonly message: string;
}

export interface ArchFrameProposal {
  readonly frame: ArchFrame;
  readonly confidence: number; // 0–1
  readonly warnings: readonly ArchFrameWarning[];
}

/** Below this spread of surface no row of teeth round an arch can be there; a full arch has 15 to 30 mm. */
const LEAST_SPREAD_MM = 6;
const TOP_BAND_MM = 3;
const TOP_GRID_MM = 1.5;

/**
 * How much more surface leans up than down along `up`, −1 to 1. Crowns and gum seen from the teeth lean
 * upward on every flank; the far side of a closed model is flat or absent.
 */
function leanUp(cells: SurfaceCells, up: Vec3): number {
  const c = cells.cells;
  let above = 0;
  let below = 0;
  for (let o = 0; o < cells.count * 7; o += 7) {
    const n = hypot3(c[o + 3], c[o + 4], c[o + 5]);
    if (n < 0.3) continue;
    const lean = (c[o + 3] * up[0] + c[o + 4] * up[1] + c[o + 5] * up[2]) / n;
    if (lean > 0.2 && lean < 0.85) above += c[o + 6];
    else if (lean < -0.2 && lean > -0.85) below += c[o + 6];
  }
  return (above - below) / Math.max(above + below, 1e-9);
}

/** A plane over the teeth, in the principal axes of the cells. */
type Over = Pick<TopPlane, 'up' | 'heightMm'>;

/** Tooth tops seen from above, one point per occupied 1.5 mm square, from 3 mm below a height upward. */
function topPoints(cells: SurfaceCells, up: Vec3, topsMm: number): Vec2[] {
  const [a, b] = planeAxes(up);
  const c = cells.cells;
  const squares = new Map<string, [number, number, number]>();
  for (let o = 0; o < cells.count * 7; o += 7) {
    const p: Vec3 = [c[o], c[o + 1], c[o + 2]];
    if (dot(p, up) < topsMm - TOP_BAND_MM) continue;
    const u = dot(p, a);
    const v = dot(p, b);
    const key = `${Math.floor(u / TOP_GRID_MM)} ${Math.floor(v / TOP_GRID_MM)}`;
    const square = squares.get(key) ?? [0, 0, 0];
    square[0] += c[o + 6] * u;
    square[1] += c[o + 6] * v;
    square[2] += c[o + 6];
    squares.set(key, square);
  }
  return [...squares.values()].filter((s) => s[2] > 0.2).map((s) => [s[0] / s[2], s[1] / s[2]]);
}

/** The horseshoe the tooth tops make on a plane: its mirror axis, middle and forward direction, principal axes. */
function horseshoe(
  cells: SurfaceCells,
  plane: Over,
  topsMm: number,
): { axis: MirrorAxis; origin: Vec3; forward: Vec3 } {
  const points = topPoints(cells, plane.up, topsMm);
  if (points.length < 12)
    refuse('no row of teeth to rest a plane on', `${points.length} top points, need 12`);
  const axis = mirrorAxis(points);
  const [a, b] = planeAxes(plane.up);
  const along = points.map(([x, y]) => x * axis.forward[0] + y * axis.forward[1]);
  const middleAlong = (Math.min(...along) + Math.max(...along)) / 2;
  const shift = middleAlong - (axis.at[0] * axis.forward[0] + axis.at[1] * axis.forward[1]);
  const ou = axis.at[0] + shift * axis.forward[0];
  const ov = axis.at[1] + shift * axis.forward[1];
  return {
    axis,
    origin: add(add(scale(a, ou), scale(b, ov)), scale(plane.up, plane.heightMm)),
    forward: add(scale(a, axis.forward[0]), scale(b, axis.forward[1])),
  };
}

interface Upright {
  readonly plane: TopPlane;
  readonly evidence: number; // −1 to 1: that `plane.up` points out of the gum
}

/** The plane over the tooth tops, with the side told by how the surface leans and by the open base. */
function upright(cells: SurfaceCells): Upright | null {
  const open = Math.hypot(...cells.areaVector);
  const starts: Vec3[] = [
    [0, 0, 1],
    [0, 0, -1],
  ];
  if (open > 0.15) starts.push(normalize(cells.areaVector));
  let best: Upright | null = null;
  let bestScore = -Infinity;
  for (const start of starts) {
    const plane = topPlane(cells, start);
    if (!plane) continue;
    const evidence = Math.max(
      -1,
      Math.min(1, leanUp(cells, plane.up) + 1.5 * dot(cells.areaVector, plane.up)),
    );
    const score = evidence + plane.coveredSectors / 72 - plane.rmsMm / 10;
    if (score > bestScore) {
      best = { plane, evidence };
      bestScore = score;
    }
  }
  return best;
}

function refuse(what: string, got: string): never {
  throw new Refusal(
    'not-an-arch',
    `findArchFrame: ${what}; got ${got}. Open a scan of one whole dental arch, or set the frame by three points.`,
  );
}

/**
 * Proposes the arch frame from the surface alone, in any pose: the occlusal plane rests on the tooth tops,
 * from front edges to last molars, the up side is where the surface leans, forward is the closed end of the horseshoe's mirror axis.
 *
 * Units:    mm in; unit vectors out; `confidence` 0–1.
 * Refuses:  'not-an-arch' where no row of teeth can be there (too small, ball-like, nothing to rest a plane on).
 * Accuracy: tilt within 5° of the sample arches' truth in any pose — tests/core/arch/findArchFrame.test.ts.
 * Source:   our definition, DEVELOPERS.md#arch-frame.
 */
export function findArchFrame(mesh: ScanMesh): ArchFrameProposal {
  if (mesh.indices.length < 300)
    refuse('too few triangles for an arch', `${mesh.indices.length / 3}, need 100`);
  const cells = surfaceCells(mesh);
  const [wide, middle, thin] = cells.spreadMm;
  if (!(middle >= LEAST_SPREAD_MM))
    refuse(
      'the surface is too small for an arch',
      `a spread of ${middle.toFixed(1)} mm, need ${LEAST_SPREAD_MM}`,
    );
  if (thin > 0.8 * middle)
    refuse(
      'the surface is as high as it is long',
      `spreads ${wide.toFixed(1)}, ${middle.toFixed(1)}, ${thin.toFixed(1)} mm`,
    );
  const found = upright(cells);
  if (!found) refuse('no row of teeth to rest a plane on', `${cells.count} surface cells`);
  const { plane, evidence } = found;
  const level = levelPlane(cells, plane.up, horseshoe(cells, plane, plane.heightMm).forward);
  const { axis, origin, forward } = horseshoe(cells, level ?? plane, level?.topsMm ?? plane.heightMm);
  const inScan = (v: Vec3): Vec3 =>
    add(add(scale(cells.axes[0], v[0]), scale(cells.axes[1], v[1])), scale(cells.axes[2], v[2]));
  const frame = archFrame(add(cells.centreMm, inScan(origin)), inScan((level ?? plane).up), inScan(forward));
  return { frame, ...judge(plane, evidence, axis.frontShare, axis.missMm) };
}

/** Confidence as the weakest of: side, front, symmetry, and how well the plane rests. */
function judge(
  plane: TopPlane,
  evidence: number,
  frontShare: number,
  missMm: number,
): Pick<ArchFrameProposal, 'confidence' | 'warnings'> {
  const ramp = (value: number, none: number, full: number): number =>
    Math.max(0, Math.min(1, (value - none) / (full - none)));
  const side = ramp(evidence, 0, 0.35);
  const front = Math.min(ramp(frontShare, 0.5, 0.85), ramp(missMm, 3, 1.2));
  const rest = Math.min(
    ramp(plane.coveredSectors, 6, 16),
    ramp(plane.rmsMm, 2.5, 1.2),
    ramp(plane.tiltChangeRad, 0.1, 0.02),
  );
  const warnings: ArchFrameWarning[] = [];
  if (side < 0.5)
    warnings.push({
      code: 'up-side-doubtful',
      message:
        'Which side the teeth are on is doubtful; look, and turn the arch over if it hangs upside down.',
    });
  if (front < 0.5)
    warnings.push({
      code: 'forward-doubtful',
      message: 'The front of the arch is doubtful; look, and turn the arch or set three points.',
    });
  if (rest < 0.5)
    warnings.push({
      code: 'plane-doubtful',
      message: 'The occlusal plane is doubtful; check the tilt, and turn the arch or set three points.',
    });
  return { confidence: Math.min(side, front, rest), warnings };
}
