import type { Stations } from './archCourse.ts';
import type { CleftProfile } from './clefts.ts';
import { UNREACHED } from './growRegions.ts';
import type { SurfaceGraph } from './surfaceGraph.ts';
import type { SurfaceRelief } from './surfaceRelief.ts';
import type { ToothSpan } from './toothSpans.ts';

/** Label 0 is gum and everything else that is no tooth; tooth i of the spans has label i + 1. */
export const GUM = 0;

const CROWN_CAP_MM = 2.5; // seeds lie within this of the top of the crown
const CORE_SHARE = 0.5; // and in this middle share of the span
const ASIDE_MM = 3.5;
const GUM_DEPTH_MM = 13; // deeper below the crown's top than any crown is high
const GUM_ASIDE_MM = 10;
const BEYOND_MM = 2.5; // past the ends of the row of teeth
const BORDER_DEPTH_MM = 4; // an open border of the scan this far below a crown's top is gum

/** Seeds for growing: the caps of the crowns inside their spans, and surface too deep or too far aside to be crown. */
export function crownSeeds(
  graph: SurfaceGraph,
  relief: SurfaceRelief,
  stations: Stations,
  pointsInArch: Float32Array,
  profile: CleftProfile,
  spans: readonly ToothSpan[],
): Int16Array {
  const seeds = new Int16Array(graph.nodeCount).fill(UNREACHED);
  const capMm = spans.map((span) => highest(profile, span) - CROWN_CAP_MM);
  const startMm = spans.length > 0 ? spans[0].fromMm : Infinity;
  const endMm = spans.length > 0 ? spans[spans.length - 1].toMm : -Infinity;
  const spanAt = new Int16Array(profile.cleft.length).fill(-1);
  spans.forEach((span, i) => {
    const inset = ((1 - CORE_SHARE) / 2) * (span.toMm - span.fromMm);
    const from = Math.round((span.fromMm + inset) / profile.stepMm);
    const to = Math.round((span.toMm - inset) / profile.stepMm);
    for (let k = from; k <= to && k < spanAt.length; k++) spanAt[k] = i;
  });
  for (let n = 0; n < graph.nodeCount; n++) {
    const bin = Math.min(
      profile.cleft.length - 1,
      Math.max(0, Math.floor(stations.stationMm[n] / profile.stepMm)),
    );
    const z = pointsInArch[3 * n + 2];
    const top = Math.max(profile.crownTopMm[bin], -4);
    const aside = Math.abs(stations.asideMm[n]);
    const station = stations.stationMm[n];
    const beyond = station < startMm - BEYOND_MM || station > endMm + BEYOND_MM;
    const border = graph.onBoundary[n] === 1 && z < top - BORDER_DEPTH_MM;
    if (z < top - GUM_DEPTH_MM || aside > GUM_ASIDE_MM || beyond || border) seeds[n] = GUM;
    else if (spanAt[bin] >= 0 && z > capMm[spanAt[bin]] && aside < ASIDE_MM && relief.bendPerMm[n] > -0.2)
      seeds[n] = spanAt[bin] + 1;
  }
  return seeds;
}

/** Height of a crown's top inside its span, arch frame, mm. */
function highest(profile: CleftProfile, span: ToothSpan): number {
  const from = Math.round(span.fromMm / profile.stepMm);
  const to = Math.round(span.toMm / profile.stepMm);
  return profile.crownTopMm.slice(from, to + 1).reduce((a, b) => Math.max(a, b), -99);
}
