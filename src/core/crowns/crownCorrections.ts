import type { ArchFrame } from '../arch/ArchFrame.ts';
import { pointInArch } from '../arch/ArchFrame.ts';
import { Refusal } from '../base/refusal.ts';
import { type Jaw, jawOf, type Tooth } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';
import type { Stations } from './archCourse.ts';
import { GUM } from './crownSeeds.ts';
import type { SurfaceGraph } from './surfaceGraph.ts';
import type { SurfaceRelief } from './surfaceRelief.ts';
import type { ToothSpan } from './toothSpans.ts';
import { typicalWidthMm } from './typicalWidths.ts';

/** "This place belongs to this tooth": one click on a crown. */
export interface CrownClick {
  readonly tooth: Tooth;
  readonly pointMm: Vec3; // scan frame
}

/** Surface said by hand to be of a tooth, or gum (0): what lies in the ball and hangs together there. */
export interface PaintedBall {
  readonly tooth: Tooth | 0;
  readonly pointMm: Vec3; // scan frame
  readonly radiusMm: number;
}

/** What the user says of the crowns of a scan; later painting counts over earlier, painting over clicks. */
export interface CrownCorrections {
  readonly seeds: readonly CrownClick[];
  readonly painted: readonly PaintedBall[];
}

export const NO_CORRECTIONS: CrownCorrections = { seeds: [], painted: [] };

const ON_SURFACE_MM = 2;
const CAP_SHARE = 0.35; // of a typical crown's width, to each side of the click
const CAP_MM = [1.5, 3] as const;
const FOLD_PRICE = 8;
const FOLD_FREE_PER_MM = 0.3; // grooves of a chewing surface are crossed, clefts between crowns are not
const LEAST_SPAN_MM = 1;

/** Corrections found on the surface: a node for each click and each painted ball. */
export interface PlacedCorrections {
  readonly clicks: readonly { readonly tooth: Tooth; readonly node: number }[];
  readonly balls: readonly {
    readonly tooth: Tooth | 0;
    readonly node: number;
    readonly pointInArch: Vec3;
    readonly radiusMm: number;
  }[];
}

/**
 * Finds the places of corrections on the surface.
 *
 * Units:    mm.
 * Refuses:  'jaw-mismatch' (a tooth of the other jaw), 'no-surface-near' (a place beside the surface).
 */
export function placedCorrections(
  graph: SurfaceGraph,
  frame: ArchFrame,
  jaw: Jaw,
  { seeds, painted }: CrownCorrections,
): PlacedCorrections {
  for (const { tooth } of [...seeds, ...painted])
    if (tooth !== GUM && jawOf(tooth) !== jaw)
      throw new Refusal(
        'jaw-mismatch',
        `findCrowns: a correction names a tooth of the other jaw; got ${tooth}, need one of the ${jaw} jaw. Choose the tooth again.`,
        { tooth },
      );
  const nodeAt = (pointMm: Vec3): number => {
    const at = pointInArch(frame, pointMm);
    const { node, farMm } = nearestNode(graph, at);
    if (farMm > ON_SURFACE_MM)
      throw new Refusal(
        'no-surface-near',
        `findCrowns: a correction lies beside the surface; got ${farMm.toFixed(1)} mm from it, need at most ${ON_SURFACE_MM} mm. Click on the surface.`,
        { farMm },
      );
    return node;
  };
  // The last click on a tooth is the one that counts.
  const last = new Map(seeds.map((seed) => [seed.tooth, seed]));
  return {
    clicks: [...last.values()].map(({ tooth, pointMm }) => ({ tooth, node: nodeAt(pointMm) })),
    balls: painted.map(({ tooth, pointMm, radiusMm }) => ({
      tooth,
      node: nodeAt(pointMm),
      pointInArch: pointInArch(frame, pointMm),
      radiusMm,
    })),
  };
}

function nearestNode(graph: SurfaceGraph, [x, y, z]: Vec3): { node: number; farMm: number } {
  const p = graph.positionsMm;
  let node = 0;
  let best = Infinity;
  for (let n = 0; n < graph.nodeCount; n++) {
    const d2 = (p[3 * n] - x) ** 2 + (p[3 * n + 1] - y) ** 2 + (p[3 * n + 2] - z) ** 2;
    if (d2 < best) {
      best = d2;
      node = n;
    }
  }
  return { node, farMm: Math.sqrt(best) };
}

/**
 * The spans with every corrected tooth in its place: one whose span does not reach its click, or that has none,
 * gets a typical width round the click, and its neighbours give way. Order along the course is kept.
 *
 * Units:  mm.
 */
export function correctedSpans(
  spans: readonly ToothSpan[],
  { clicks, balls }: PlacedCorrections,
  { stationMm }: Stations,
  sizeRatio: number,
): readonly ToothSpan[] {
  let out = spans;
  const claims = new Map(clicks.map(({ tooth, node }) => [tooth, stationMm[node]]));
  for (const { tooth, node } of balls) {
    const known = claims.has(tooth) || out.some((span) => span.tooth === tooth);
    if (tooth !== GUM && !known) claims.set(tooth, stationMm[node]);
  }
  for (const [tooth, at] of claims) {
    const own = out.find((span) => span.tooth === tooth);
    if (own && own.fromMm <= at && at <= own.toMm) continue;
    const half = 0.5 * typicalWidthMm(tooth) * sizeRatio;
    const [fromMm, toMm] = [Math.max(0, at - half), at + half];
    const others = out.filter((span) => span !== own);
    const given = others.map((span) => givingWay(span, fromMm, toMm, at));
    out = [...given, { tooth, fromMm, toMm, evidence: 1 }].sort(
      (a, b) => a.fromMm + a.toMm - (b.fromMm + b.toMm),
    );
  }
  return out;
}

function givingWay(span: ToothSpan, fromMm: number, toMm: number, at: number): ToothSpan {
  if (span.toMm <= fromMm || span.fromMm >= toMm) return span;
  if (span.fromMm + span.toMm < 2 * at)
    return { ...span, toMm: Math.max(fromMm, span.fromMm + LEAST_SPAN_MM) };
  return { ...span, fromMm: Math.min(toMm, span.toMm - LEAST_SPAN_MM) };
}

/** Seeds with the corrections in force; `fixed`: painted nodes, their label is not to be smoothed away. */
export interface CorrectedSeeds {
  readonly seeds: Int16Array;
  readonly fixed: Uint8Array;
}

/**
 * Lays corrections over the automatic seeds of the corrected spans. A click takes the place of other seeds on the
 * cap of the crown round it; painting settles every node it covers. Its tooth's automatic seeds stay: growing from
 * the click alone loses the far side of incisors (overlap of 42 on three crowded arches 0.51–0.68, with them 0.76–0.96).
 *
 * Units:  mm.
 */
export function correctedSeeds(
  graph: SurfaceGraph,
  relief: SurfaceRelief,
  automatic: Int16Array,
  spans: readonly ToothSpan[],
  { clicks, balls }: PlacedCorrections,
): CorrectedSeeds {
  const seeds = Int16Array.from(automatic);
  const fixed = new Uint8Array(graph.nodeCount);
  const labelOf = (tooth: Tooth | 0): number =>
    tooth === GUM ? GUM : 1 + spans.findIndex((span) => span.tooth === tooth);
  const price = relief.bendPerMm.map((bend) => 1 + FOLD_PRICE * Math.max(0, -bend - FOLD_FREE_PER_MM));
  for (const { tooth, node } of clicks) {
    const reachMm = Math.min(CAP_MM[1], Math.max(CAP_MM[0], CAP_SHARE * typicalWidthMm(tooth)));
    for (const n of nodesWithin(graph, node, reachMm, price)) seeds[n] = labelOf(tooth);
  }
  for (const { tooth, node, pointInArch: at, radiusMm } of balls)
    for (const n of nodesInBall(graph, node, at, radiusMm)) {
      seeds[n] = labelOf(tooth);
      fixed[n] = 1;
    }
  return { seeds, fixed };
}

/** Nodes that a path over the surface reaches from `start` within a cost of mm × price. */
function nodesWithin(
  graph: SurfaceGraph,
  start: number,
  reachMm: number,
  price: Float32Array,
): Iterable<number> {
  const p = graph.positionsMm;
  const cost = new Map([[start, 0]]);
  // A few hundred nodes: relaxing until nothing changes gives the least costs whatever the order.
  for (let front = [start]; front.length > 0; ) {
    const next = new Set<number>();
    for (const a of front)
      for (let i = graph.linkStart[a]; i < graph.linkStart[a + 1]; i++) {
        const b = graph.links[i];
        const l = Math.hypot(p[3 * a] - p[3 * b], p[3 * a + 1] - p[3 * b + 1], p[3 * a + 2] - p[3 * b + 2]);
        const reached = (cost.get(a) ?? 0) + l * 0.5 * (price[a] + price[b]);
        if (reached > reachMm || reached >= (cost.get(b) ?? Infinity)) continue;
        cost.set(b, reached);
        next.add(b);
      }
    front = [...next];
  }
  return cost.keys();
}

/** Nodes in a ball that hang together with `start` inside it; the other side of a thin crown does not. */
function nodesInBall(graph: SurfaceGraph, start: number, [x, y, z]: Vec3, radiusMm: number): Set<number> {
  const p = graph.positionsMm;
  const found = new Set([start]);
  for (const a of found)
    for (let i = graph.linkStart[a]; i < graph.linkStart[a + 1]; i++) {
      const b = graph.links[i];
      if (Math.hypot(p[3 * b] - x, p[3 * b + 1] - y, p[3 * b + 2] - z) <= radiusMm) found.add(b);
    }
  return found;
}
