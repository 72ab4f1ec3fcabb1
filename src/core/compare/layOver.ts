import { inverse, Matrix } from 'ml-matrix';
import type { Tooth } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';
import { solveHeld } from '../crowns/proximalFit.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import type { SurfaceSamples } from './crownSamples.ts';
import { motionAbout, motionAfter, movedBy, type RigidMotion, turnedBy } from './RigidMotion.ts';

/** One stretch of the search: how far partners are looked for, how far off they still count, and how often. */
export interface LayingStage {
  readonly reachMm: number;
  readonly scaleMm: number; // distances of this and more have no say
  readonly rounds: number;
}

/** Samples laid over a surface. */
export interface LaidOver {
  readonly motion: RigidMotion; // samples' scan onto the surface's
  readonly rmsMm: number; // of the distances that count, weighted
  readonly medianMm: number; // of the absolute distances of all samples that found a partner
  readonly matchedRatio: number; // 0–1, weight of the samples with a partner within MATCHED_MM
  readonly covariance: readonly number[]; // 6 × 6, row by row: turn (rad) and shift (mm) about `centreMm`, later frame
  readonly centreMm: Vec3; // where the samples' middle came to lie
}

/** One tooth laid over itself. */
export interface LaidCrown {
  readonly tooth: Tooth;
  readonly laid: LaidOver;
}

/** A sample farther than this from its partner has not found its like. */
const MATCHED_MM = 0.15;
const LEAST_COSINE = 0.5; // between the normals of partners
/** Errors of a scan go together over about this much surface; found on generated pairs. */
const TOGETHER_MM2 = 2;
const LEAST_RMS_MM = 0.01;
const FAINT = 1e-4; // of a belief that nothing moves, so that a flat piece stays determined
const STEP_ENDS_MM = 2e-4;

const tukey = (t: number): number => (t >= 1 || t <= -1 ? 0 : (1 - t * t) ** 2);

interface Partners {
  readonly count: number;
  readonly values: Float64Array; // 8 per partner: place (mm), normal, distance along it (mm), weight
  readonly weight: number; // of all samples asked
}

/** Partners of the samples where they lie now; only faces that `accepts` takes count. */
function partnersOf(
  samples: SurfaceSamples,
  index: SurfaceIndex,
  motion: RigidMotion,
  reachMm: number,
  accepts: (faceIndex: number) => boolean,
): Partners {
  const v = samples.values;
  const values = new Float64Array(8 * samples.count);
  let count = 0;
  let weight = 0;
  for (let o = 0; o < 7 * samples.count; o += 7) {
    weight += v[o + 6];
    const place = movedBy(motion, [v[o], v[o + 1], v[o + 2]]);
    const hit = index.closestPoint(place, reachMm);
    if (!hit || !accepts(hit.faceIndex)) continue;
    const own = turnedBy(motion, [v[o + 3], v[o + 4], v[o + 5]]);
    const n = hit.normal;
    if (own[0] * n[0] + own[1] * n[1] + own[2] * n[2] < LEAST_COSINE) continue;
    // The mean of both normals: less noise than the face's alone.
    const m = [own[0] + n[0], own[1] + n[1], own[2] + n[2]];
    const l = Math.hypot(m[0], m[1], m[2]);
    const off = [0, 1, 2].map((k) => place[k] - hit.pointMm[k]);
    const distance = (off[0] * m[0] + off[1] * m[1] + off[2] * m[2]) / l;
    values.set([...place, m[0] / l, m[1] / l, m[2] / l, distance, v[o + 6]], 8 * count++);
  }
  return { count, values, weight };
}

interface Normal {
  readonly ata: Float64Array;
  readonly atb: Float64Array;
  readonly squares: number;
  readonly weight: number;
}

/** Normal equations of a small turn about `centre` and a shift, with Tukey's weights. */
function normalEquations({ count, values: v }: Partners, centre: Vec3, scaleMm: number): Normal {
  const ata = new Float64Array(36);
  const atb = new Float64Array(6);
  const row = new Float64Array(6);
  let squares = 0;
  let weight = 0;
  for (let o = 0; o < 8 * count; o += 8) {
    const w = v[o + 7] * tukey(v[o + 6] / scaleMm);
    if (w === 0) continue;
    const [x, y, z] = [v[o] - centre[0], v[o + 1] - centre[1], v[o + 2] - centre[2]];
    const [a, b, c] = [v[o + 3], v[o + 4], v[o + 5]];
    row[0] = y * c - z * b;
    row[1] = z * a - x * c;
    row[2] = x * b - y * a;
    row[3] = a;
    row[4] = b;
    row[5] = c;
    for (let i = 0; i < 6; i++) {
      atb[i] -= w * row[i] * v[o + 6];
      for (let j = 0; j <= i; j++) ata[6 * i + j] += w * row[i] * row[j];
    }
    squares += w * v[o + 6] ** 2;
    weight += w;
  }
  for (let i = 0; i < 6; i++) for (let j = 0; j < i; j++) ata[6 * j + i] = ata[6 * i + j];
  return { ata, atb, squares, weight };
}

const median = (sorted: Float64Array): number => sorted[Math.floor(sorted.length / 2)] ?? 0;

/** Middle of the samples, where they lie. */
function middleOf({ count, values: v }: SurfaceSamples): Vec3 {
  const sum = [0, 0, 0, 0];
  for (let o = 0; o < 7 * count; o += 7) {
    for (let k = 0; k < 3; k++) sum[k] += v[o + 6] * v[o + k];
    sum[3] += v[o + 6];
  }
  const by = sum[3] || 1;
  return [sum[0] / by, sum[1] / by, sum[2] / by];
}

/**
 * Lays samples over a surface: nearest points, distances along the normals, Tukey's weights, so that what changed
 * has no say. Null where fewer than 20 samples find a partner.
 *
 * Units:    mm, radians.
 * Source:   iterated closest points with distances to planes, Chen & Medioni 1992, Image Vis Comput 10: 145–155;
 *           biweight of Beaton & Tukey 1974; both from memory, unverified.
 */
export function layOver(
  samples: SurfaceSamples,
  index: SurfaceIndex,
  start: RigidMotion,
  stages: readonly LayingStage[],
  accepts: (faceIndex: number) => boolean = () => true,
): LaidOver | null {
  const middle = middleOf(samples);
  let motion = start;
  for (const { reachMm, scaleMm, rounds } of stages) {
    for (let round = 0; round < rounds; round++) {
      const partners = partnersOf(samples, index, motion, reachMm, accepts);
      if (partners.count < 20) return null;
      const centre = movedBy(motion, middle);
      const { ata, atb, weight } = normalEquations(partners, centre, scaleMm);
      if (weight <= 0) return null;
      for (let i = 0; i < 6; i++) ata[7 * i] += FAINT * weight * (i < 3 ? 10 : 1);
      const step = solveHeld(ata, atb, 6);
      const turn: Vec3 = [step[0], step[1], step[2]];
      const shift: Vec3 = [step[3], step[4], step[5]];
      motion = motionAfter(motionAbout(centre, turn, shift), motion);
      if (Math.hypot(...shift) + 5 * Math.hypot(...turn) < STEP_ENDS_MM) break;
    }
  }
  const last = stages[stages.length - 1];
  return judged(samples, index, motion, last, middle, accepts);
}

function judged(
  samples: SurfaceSamples,
  index: SurfaceIndex,
  motion: RigidMotion,
  { reachMm, scaleMm }: LayingStage,
  middle: Vec3,
  accepts: (faceIndex: number) => boolean,
): LaidOver | null {
  const partners = partnersOf(samples, index, motion, Math.max(reachMm, 2 * MATCHED_MM), accepts);
  const centreMm = movedBy(motion, middle);
  const { ata, squares, weight } = normalEquations(partners, centreMm, scaleMm);
  if (weight <= 0) return null;
  const rmsMm = Math.sqrt(squares / weight);
  const distances = new Float64Array(partners.count);
  let matched = 0;
  for (let i = 0; i < partners.count; i++) {
    distances[i] = Math.abs(partners.values[8 * i + 6]);
    if (distances[i] < MATCHED_MM) matched += partners.values[8 * i + 7];
  }
  for (let i = 0; i < 6; i++) ata[7 * i] += FAINT * weight * (i < 3 ? 10 : 1);
  const perSample = Math.max(rmsMm, LEAST_RMS_MM) ** 2 * Math.max(1, TOGETHER_MM2 / samples.cellMm ** 2);
  return {
    motion,
    rmsMm,
    medianMm: median(distances.sort()),
    matchedRatio: matched / Math.max(partners.weight, 1e-9),
    covariance: inverse(Matrix.from1DArray(6, 6, ata))
      .to1DArray()
      .map((v) => v * perSample),
    centreMm,
  };
}
