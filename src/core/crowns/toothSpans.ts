import { isRight, jawOf, positionOf, type Tooth } from '../base/tooth.ts';
import type { CleftProfile } from './clefts.ts';
import { rangeMaximum } from './rangeMaximum.ts';
import { typicalWidthMm } from './typicalWidths.ts';

/** The stretch of the arch course that one tooth takes up. */
export interface ToothSpan {
  readonly tooth: Tooth;
  readonly fromMm: number; // station
  readonly toMm: number;
  /** How plainly clefts at both ends show this stretch as one tooth, 0–1. */
  readonly evidence: number;
}

export interface SpanDivision {
  readonly spans: readonly ToothSpan[]; // in order along the course; empty when nothing fits
  readonly score: number; // higher is likelier; comparable between different lists of teeth on one scan
  readonly sizeRatio: number; // these teeth against typical ones along the course
}

const SIZE_RATIOS = [0.86, 0.9, 0.94, 0.98, 1.02, 1.06, 1.1, 1.14, 1.18, 1.22, 1.26];
const SIZE_SPREAD = 0.1;
const WIDTH_SPREAD = 0.12; // relative SD allowed to one tooth along the course
const HIDDEN_SPREAD = 0.2; // front teeth stand behind each other in crowding and then take up less of the course
const CLEFT_CEILING = 1.4; // of the typical cleft, as a square root
const INNER_CLEFT_COST = 0.8;
const MIDLINE_SPREAD_MM = 3;
const GAP_LIMIT_MM = 5;
const GAP_COST = 0.9;
const GAP_COST_PER_MM = 0.35;
const EMPTY_PLACE_COST = 0.4;
const CROWN_HIGH_MM = 4.5;
const UNCOVERED_COST_PER_MM = 0.6;
const DEEPEST_MIDDLE_MM = 7; // below the occlusal plane
const ELSEWHERE_COST_PER_MM = 4;
const NEVER = -1e9;

/**
 * Divides the arch course among the teeth that are said to be there: the division whose borders lie in the
 * clearest clefts while every tooth keeps a likely width and no crown is left without a tooth. Exact over all
 * divisions on 0.25 mm steps and eleven overall tooth sizes (dynamic programme).
 *
 * Shape:  present — teeth in order along the course; missing — teeth whose places may stand empty; known — stations
 *         that the spans of some teeth are said to cover.
 * Units:  mm.
 */
export function toothSpans(
  profile: CleftProfile,
  present: readonly Tooth[],
  missing: readonly Tooth[],
  midlineStationMm: number,
  sizeRatios: readonly number[] = SIZE_RATIOS,
  known: ReadonlyMap<Tooth, number> = new Map(),
): SpanDivision {
  const field = prepare(profile, midlineStationMm);
  let best: SpanDivision = { spans: [], score: NEVER, sizeRatio: 1 };
  for (const sizeRatio of sizeRatios) {
    const found = divide(field, present, missing, sizeRatio, known);
    const score = found.score - 0.5 * ((sizeRatio - 1) / SIZE_SPREAD) ** 2;
    if (score > best.score) best = { spans: found.spans, score, sizeRatio };
  }
  return best;
}

interface Field {
  readonly step: number;
  readonly reward: Float32Array; // of a border at each step
  readonly highestReward: (from: number, to: number) => number;
  readonly top: Float32Array;
  readonly uncovered: Float32Array; // cost of all crown-high surface before each step
  readonly midline: number; // step
}

function prepare(profile: CleftProfile, midlineStationMm: number): Field {
  const sorted = Float32Array.from(profile.cleft).sort();
  const typical = Math.max(1e-6, sorted[Math.floor(0.93 * (sorted.length - 1))]);
  const reward = profile.cleft.map((c) => Math.min(CLEFT_CEILING, Math.sqrt(c / typical)));
  let sum = 0;
  const uncovered = profile.crownTopMm.map((top) => {
    const before = sum;
    if (top > -CROWN_HIGH_MM) sum += UNCOVERED_COST_PER_MM * profile.stepMm;
    return before;
  });
  return {
    step: profile.stepMm,
    reward,
    highestReward: rangeMaximum(reward),
    top: profile.crownTopMm,
    uncovered,
    midline: midlineStationMm / profile.stepMm,
  };
}

interface Layer {
  readonly score: Float64Array; // best score with this tooth ending at each step
  readonly start: Int32Array; // where it then starts
  readonly previousEnd: Int32Array; // where the tooth before ends, by start step
}

function divide(
  field: Field,
  present: readonly Tooth[],
  missing: readonly Tooth[],
  sizeRatio: number,
  known: ReadonlyMap<Tooth, number>,
): { score: number; spans: readonly ToothSpan[] } {
  const layers: Layer[] = [];
  present.forEach((tooth, t) => {
    const starts =
      t === 0
        ? firstStarts(field)
        : laterStarts(field, layers[t - 1].score, emptyMm(present, missing, t, sizeRatio));
    const crossing = t > 0 && isRight(tooth) !== isRight(present[t - 1]);
    if (crossing) {
      const spread = MIDLINE_SPREAD_MM / field.step;
      for (let b = 0; b < starts.score.length; b++) {
        starts.score[b] -= 0.5 * ((b - field.midline) / spread) ** 2;
      }
    }
    const target = (typicalWidthMm(tooth) * sizeRatio) / field.step;
    const shorterSpread = positionOf(tooth) <= 3 ? HIDDEN_SPREAD : WIDTH_SPREAD;
    layers.push(placeTooth(field, starts, target, shorterSpread, known.get(tooth)));
  });
  return trace(field, present, layers);
}

interface Starts {
  readonly score: Float64Array;
  readonly previousEnd: Int32Array;
}

function firstStarts(field: Field): Starts {
  return {
    score: Float64Array.from(field.reward, (r, b) => r - field.uncovered[b]),
    previousEnd: new Int32Array(field.reward.length).fill(-1),
  };
}

/**
 * The next tooth starts where the last one ended, sharing one cleft, or after a gap with a cleft on each side.
 * A missing tooth's place is nearly free up to a little over its width; any other gap costs.
 */
function laterStarts(field: Field, previous: Float64Array, placeMm: number): Starts {
  const { step } = field;
  const score = new Float64Array(previous.length).fill(NEVER);
  const previousEnd = new Int32Array(previous.length).fill(-1);
  const roomMm = placeMm * 1.3;
  const reach = Math.round((roomMm + GAP_LIMIT_MM) / step);
  const touchingCost = placeMm > 0 ? EMPTY_PLACE_COST : 0;
  const starts: Starts = { score, previousEnd };
  for (let b = 0; b < previous.length; b++)
    joinBefore(field, starts, previous, b, Math.min(reach, b), roomMm, touchingCost);
  return starts;
}

/** Finds the best end of the tooth before for a start at step b. */
function joinBefore(
  { reward, step }: Field,
  { score, previousEnd }: Starts,
  previous: Float64Array,
  b: number,
  reach: number,
  roomMm: number,
  touchingCost: number,
): void {
  let best = score[b];
  let bestEnd = previousEnd[b];
  for (let gap = 0; gap <= reach; gap++) {
    const over = Math.max(0, gap * step - roomMm);
    const cost =
      gap === 0 ? touchingCost : GAP_COST + GAP_COST_PER_MM * over - 0.5 * (reward[b] + reward[b - gap]);
    const value = previous[b - gap] - cost;
    if (value > best) {
      best = value;
      bestEnd = b - gap;
    }
  }
  score[b] = best;
  previousEnd[b] = bestEnd;
}

function placeTooth(
  field: Field,
  starts: Starts,
  target: number,
  shorterSpread: number,
  knownMm?: number,
): Layer {
  const { reward, highestReward, top, step } = field;
  const count = reward.length;
  const score = new Float64Array(count).fill(NEVER);
  const start = new Int32Array(count).fill(-1);
  const shortest = Math.max(4, Math.round(0.45 * target));
  const longest = Math.round(1.4 * target);
  for (let e = shortest; e < count; e++) {
    let best = score[e];
    let bestStart = start[e];
    const longestHere = Math.min(longest, e);
    for (let w = shortest; w <= longestHere; w++) {
      const b = e - w;
      const from = starts.score[b];
      if (from <= NEVER / 2 || top[(b + e) >> 1] < -DEEPEST_MIDDLE_MM) continue;
      const strain = (w - target) / ((w < target ? shorterSpread : WIDTH_SPREAD) * target);
      const atMost = from - 0.5 * strain * strain + reward[e];
      if (!(atMost > best)) continue; // the costs below are not negative
      const margin = (w >> 2) + 1;
      const elsewhere =
        knownMm === undefined
          ? 0
          : ELSEWHERE_COST_PER_MM * Math.max(0, b * step - knownMm, knownMm - e * step);
      const value = atMost - INNER_CLEFT_COST * highestReward(b + margin, e - margin) - elsewhere;
      if (value > best) {
        best = value;
        bestStart = b;
      }
    }
    score[e] = best;
    start[e] = bestStart;
  }
  return { score, start, previousEnd: starts.previousEnd };
}

/** Typical room of the missing teeth between tooth t and the one before it, mm. */
function emptyMm(present: readonly Tooth[], missing: readonly Tooth[], t: number, sizeRatio: number): number {
  const between = missing.filter((tooth) => liesBetween(tooth, present[t - 1], present[t]));
  return between.reduce((sum, tooth) => sum + typicalWidthMm(tooth) * sizeRatio, 0);
}

function liesBetween(tooth: Tooth, a: Tooth, b: Tooth): boolean {
  if (jawOf(tooth) !== jawOf(a)) return false;
  if (isRight(a) !== isRight(b)) return positionOf(tooth) < positionOf(isRight(tooth) === isRight(a) ? a : b);
  const nearer = Math.min(positionOf(a), positionOf(b));
  const farther = Math.max(positionOf(a), positionOf(b));
  return isRight(tooth) === isRight(a) && positionOf(tooth) > nearer && positionOf(tooth) < farther;
}

function trace(
  field: Field,
  present: readonly Tooth[],
  layers: readonly Layer[],
): { score: number; spans: readonly ToothSpan[] } {
  const { uncovered, reward, step } = field;
  const last = layers[layers.length - 1].score;
  const all = uncovered[uncovered.length - 1];
  let end = -1;
  let score = NEVER / 2;
  last.forEach((value, e) => {
    const whole = value - (all - uncovered[e]);
    if (whole > score) {
      score = whole;
      end = e;
    }
  });
  if (end < 0) return { score: NEVER, spans: [] };
  const spans: ToothSpan[] = [];
  for (let t = present.length - 1; t >= 0; t--) {
    const start = layers[t].start[end];
    // the far end of the last tooth borders on gum, not on a neighbour
    const left = t === 0 ? reward[end] : reward[start];
    const right = t === present.length - 1 ? reward[start] : reward[end];
    const evidence = Math.min(1, Math.min(left, right) / 0.8);
    spans.unshift({ tooth: present[t], fromMm: start * step, toMm: end * step, evidence });
    end = layers[t].previousEnd[start];
  }
  return { score, spans };
}
