import type { ArchCourse, Stations } from './archCourse.ts';
import type { SurfaceGraph } from './surfaceGraph.ts';
import { bendAlong, type SurfaceRelief } from './surfaceRelief.ts';

/** Evidence for a cleft between teeth at each place along the arch course, and how high the crowns stand there. */
export interface CleftProfile {
  readonly stepMm: number;
  readonly cleft: Float32Array; // ≥ 0, dimensionless, smoothed over about 0.5 mm
  readonly crownTopMm: Float32Array; // highest surface within REACH_MM of the course, arch frame
}

const STEP_MM = 0.25;
const REACH_MM = 6;
const DEPTH_MM = 6;
const WALL = 0.6; // cosine between the surface normal and the course
const UPRIGHT = 0.5; // cosine between the surface normal and the occlusal direction
const WALL_WEIGHT = 0.2; // per mm²
const WALL_REACH_MM = 1.25;

/**
 * Sums, over the surface of the crowns, how sharply it folds inward along the arch. Folds that run with the
 * arch (central grooves, gum margins) do not count, since only links along the course are taken.
 */
export function cleftProfile(
  graph: SurfaceGraph,
  relief: SurfaceRelief,
  course: ArchCourse,
  stations: Stations,
  pointsInArch: Float32Array,
  normalsInArch: Float32Array,
): CleftProfile {
  const count = Math.ceil(course.lengthMm / STEP_MM);
  const crownTopMm = new Float32Array(count).fill(-99);
  const binOf = (node: number) => {
    const bin = Math.floor(stations.stationMm[node] / STEP_MM);
    return Math.abs(stations.asideMm[node]) < REACH_MM && bin >= 0 && bin < count ? bin : -1;
  };
  for (let a = 0; a < graph.nodeCount; a++) {
    const bin = binOf(a);
    if (bin >= 0 && pointsInArch[3 * a + 2] > crownTopMm[bin]) crownTopMm[bin] = pointsInArch[3 * a + 2];
  }
  const raw = new Float32Array(count);
  const ahead = new Float32Array(count); // wall surface facing along the course, mm²
  const behind = new Float32Array(count);
  for (let a = 0; a < graph.nodeCount; a++) {
    const bin = binOf(a);
    if (bin < 0 || pointsInArch[3 * a + 2] < crownTopMm[bin] - DEPTH_MM) continue;
    const facing = normalsInArch[3 * a] * stations.alongX[a] + normalsInArch[3 * a + 1] * stations.alongY[a];
    const upright = Math.abs(normalsInArch[3 * a + 2]) < UPRIGHT;
    if (upright && facing > WALL) ahead[bin] += graph.cellMm * graph.cellMm;
    if (upright && facing < -WALL) behind[bin] += graph.cellMm * graph.cellMm;
    for (let i = graph.linkStart[a]; i < graph.linkStart[a + 1]; i++) {
      const b = graph.links[i];
      const dx = pointsInArch[3 * b] - pointsInArch[3 * a];
      const dy = pointsInArch[3 * b + 1] - pointsInArch[3 * a + 1];
      const dz = pointsInArch[3 * b + 2] - pointsInArch[3 * a + 2];
      const along = dx * stations.alongX[a] + dy * stations.alongY[a];
      const share = (along * along) / Math.max(dx * dx + dy * dy + dz * dz, 1e-6);
      if (share < 0.25) continue;
      const bend = bendAlong(graph, relief.normals, a, b);
      if (bend < -0.15) raw[bin] += Math.min(2, -bend) * share * along * along;
    }
  }
  facingWalls(ahead, behind).forEach((w, i) => {
    raw[i] += WALL_WEIGHT * w;
  });
  return { stepMm: STEP_MM, cleft: blurred(raw), crownTopMm };
}

/** Where a wall facing along the course is followed within a millimetre by a wall facing back: a cleft, closed or open. */
function facingWalls(ahead: Float32Array, behind: Float32Array): Float32Array {
  const reach = Math.round(WALL_REACH_MM / STEP_MM);
  const sum = (walls: Float32Array, from: number, to: number) => {
    let s = 0;
    for (let k = Math.max(0, from); k <= Math.min(walls.length - 1, to); k++) s += walls[k];
    return s;
  };
  return ahead.map((_, i) => Math.min(sum(ahead, i - reach, i), sum(behind, i, i + reach)));
}

function blurred(raw: Float32Array): Float32Array {
  return raw.map((_, i) => {
    let sum = 0;
    let weight = 0;
    for (let j = Math.max(0, i - 3); j <= Math.min(raw.length - 1, i + 3); j++) {
      const w = Math.exp(-((i - j) ** 2) / 4);
      sum += w * raw[j];
      weight += w;
    }
    return sum / weight;
  });
}
