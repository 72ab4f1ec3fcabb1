import { type ArchFrame, sideways } from '../arch/ArchFrame.ts';
import { hypot3 } from '../base/hypot.ts';
import { archOrder, type Jaw, permanentOf, positionOf, type Tooth } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';
import type { ScanMesh } from '../scan/ScanMesh.ts';
import { type ArchCourse, archCourse, type Stations, stationsAlong } from './archCourse.ts';
import { type CleftProfile, cleftProfile } from './clefts.ts';
import {
  type CrownCorrections,
  correctedSeeds,
  correctedSpans,
  NO_CORRECTIONS,
  type PlacedCorrections,
  placedCorrections,
} from './crownCorrections.ts';
import { crownSeeds, GUM } from './crownSeeds.ts';
import { growRegions } from './growRegions.ts';
import { harmonicRegions } from './harmonicRegions.ts';
import { type SurfaceGraph, surfaceGraph } from './surfaceGraph.ts';
import { type SurfaceRelief, surfaceRelief } from './surfaceRelief.ts';
import { tidyRegions } from './tidyRegions.ts';
import { type SpanDivision, type ToothSpan, toothSpans } from './toothSpans.ts';

/** One crown found on a scan. */
export interface Crown {
  readonly tooth: Tooth;
  readonly centreMm: Vec3; // mean of its surface, scan frame
  readonly areaMm2: number;
  readonly confidence: number; // 0–1
  readonly doubts: readonly string[]; // in words, empty when there are none
}

/** Crowns told apart from gum and from each other. */
export interface CrownMap {
  readonly faceCrown: Uint8Array; // per face: 0 gum and base, otherwise 1 + index into crowns
  readonly crowns: readonly Crown[]; // in order along the arch course
  readonly course: ArchCourse; // arch frame
}

/** What the chart says; see ToothChart. */
export interface TeethSaid {
  readonly missing: readonly Tooth[];
  readonly unerupted: readonly Tooth[];
  readonly thirdMolars: readonly Tooth[];
  /** Primary teeth that stand, each in the place of its successor. Default: none. */
  readonly primary?: readonly Tooth[];
}

const FOLD_PRICE = 600;
const FOLD_FREE_PER_MM = 0.08;
const DOUBTFUL = 0.5;

/**
 * Finds the crowns of one arch on its surface.
 *
 * Shape:    mesh with vertex normals; frame — occlusal plane and forward direction of this scan; corrections — what
 *           the user says of places, over what the chart says and what is found.
 * Units:    mm.
 * Refuses:  'not-an-arch' where no arch of crowns stands at the occlusal plane; as placedCorrections.
 * Accuracy: shared ÷ joined faces on real arches 0.85 in the mean, 0.7 at least, corrected crowns alike —
 *           tests/core/crowns/findCrowns.test.ts, tests/core/crowns/crownCorrections.test.ts.
 */
export function findCrowns(
  mesh: ScanMesh,
  frame: ArchFrame,
  jaw: Jaw,
  said: TeethSaid,
  onStage: (doneRatio: number) => void = () => {},
  corrections: CrownCorrections = NO_CORRECTIONS,
): CrownMap {
  onStage(0);
  const graph = surfaceGraph(meshInArch(mesh, frame)); // in the arch frame, so that the pose of the scan is no matter
  onStage(0.25);
  const relief = surfaceRelief(graph);
  onStage(0.4);
  const points = graph.positionsMm;
  const course = archCourse(points);
  const stations = stationsAlong(course, points);
  const profile = cleftProfile(graph, relief, course, stations, points, relief.normals);
  onStage(0.5);
  const placed = placedCorrections(graph, frame, jaw, corrections);
  const known = new Map(placed.clicks.map(({ tooth, node }) => [tooth, stations.stationMm[node]]));
  const division = likeliestDivision(profile, jaw, saidWith(said, known), midlineStation(course), known);
  onStage(0.6);
  return partition(mesh, { graph, relief, points, course, stations, profile }, division, placed);
}

/** What is said, where a click on a tooth counts over its being said to be missing. */
function saidWith(said: TeethSaid, known: ReadonlyMap<Tooth, number>): TeethSaid {
  const clicked = [...known.keys()].filter((tooth) => positionOf(tooth) === 8);
  return {
    missing: said.missing.filter((tooth) => !known.has(tooth)),
    unerupted: said.unerupted.filter((tooth) => !known.has(tooth)),
    primary: said.primary?.filter((tooth) => !known.has(permanentOf(tooth))),
    thirdMolars: [...said.thirdMolars, ...clicked],
  };
}

interface Surface {
  readonly graph: SurfaceGraph;
  readonly relief: SurfaceRelief;
  readonly points: Float32Array;
  readonly course: ArchCourse;
  readonly stations: Stations;
  readonly profile: CleftProfile;
}

function partition(
  mesh: ScanMesh,
  surface: Surface,
  division: SpanDivision,
  placed: PlacedCorrections,
): CrownMap {
  const { graph, relief, points, stations, profile, course } = surface;
  const spans = correctedSpans(division.spans, placed, stations, division.sizeRatio);
  const automatic = crownSeeds(graph, relief, stations, points, profile, spans);
  const { seeds, fixed } = correctedSeeds(graph, relief, automatic, spans, placed);
  const price = relief.bendPerMm.map((bend) => 1 + FOLD_PRICE * Math.max(0, -bend - FOLD_FREE_PER_MM));
  const first = growRegions(graph, seeds, price).label;
  const sharp = harmonicRegions(graph, seeds, first, price, spans.length, 3);
  const label = tidyRegions(graph, sharp, seeds).map((own, n) => (fixed[n] ? seeds[n] : own));
  const faceCrown = faceLabels(mesh, graph, label);
  return { faceCrown, crowns: crownsOf(mesh, faceCrown, spans), course };
}

/** The mesh with points and normals in the arch frame. */
function meshInArch(mesh: ScanMesh, frame: ArchFrame): ScanMesh {
  const positions = new Float32Array(mesh.positions.length);
  const normals = new Float32Array(positions.length);
  intoAxes(frame, mesh.positions, frame.originMm, positions);
  intoAxes(frame, mesh.normals, [0, 0, 0], normals);
  return { ...mesh, positions, normals };
}

/** Vectors from an origin, along the frame's axes; 3 a vector. */
function intoAxes(frame: ArchFrame, from: Float32Array, [ox, oy, oz]: Vec3, into: Float32Array): void {
  const [ax, ay, az] = sideways(frame);
  const [bx, by, bz] = frame.forward;
  const [cx, cy, cz] = frame.occlusal;
  for (let i = 0; i < from.length; i += 3) {
    const x = from[i] - ox;
    const y = from[i + 1] - oy;
    const z = from[i + 2] - oz;
    into[i] = x * ax + y * ay + z * az;
    into[i + 1] = x * bx + y * by + z * bz;
    into[i + 2] = x * cx + y * cy + z * cz;
  }
}

/** The teeth a scan of this jaw should show, in order along the course (arch-frame −x to +x). */
export function teethAlongCourse(jaw: Jaw, said: TeethSaid): readonly Tooth[] {
  const absent = new Set([...said.missing, ...said.unerupted]);
  const standing = new Map((said.primary ?? []).map((tooth) => [permanentOf(tooth), tooth]));
  const order = archOrder(jaw).flatMap((tooth): readonly Tooth[] => {
    const primary = standing.get(tooth);
    if (primary !== undefined && !said.missing.includes(primary)) return [primary];
    if (absent.has(tooth) || (positionOf(tooth) === 8 && !said.thirdMolars.includes(tooth))) return [];
    return [tooth];
  });
  return jaw === 'upper' ? order : [...order].reverse();
}

/** Second molars may lie outside the scan: each end is tried with and without its last tooth. */
function likeliestDivision(
  profile: CleftProfile,
  jaw: Jaw,
  said: TeethSaid,
  midlineMm: number,
  known: ReadonlyMap<Tooth, number>,
): SpanDivision {
  const all = teethAlongCourse(jaw, said);
  const missing = [...said.missing, ...said.unerupted].filter(
    (tooth) => !all.some((t) => permanentOf(t) === tooth),
  );
  const whole = toothSpans(profile, all, missing, midlineMm, undefined, known);
  let best = whole;
  for (const [front, back] of [
    [1, 0],
    [0, 1],
    [1, 1],
  ]) {
    const some = all.slice(front, all.length - back);
    if (some.length < 4 || positionOf(all[0]) < 7) continue;
    if (all.some((tooth) => known.has(tooth) && !some.includes(tooth))) continue;
    const found = toothSpans(profile, some, missing, midlineMm, nearSizes(whole.sizeRatio), known);
    if (found.score > best.score + 1) best = found;
  }
  return best;
}

const nearSizes = (ratio: number) => [ratio - 0.08, ratio - 0.04, ratio, ratio + 0.04, ratio + 0.08];

/** Station where the course crosses x = 0 in front. */
function midlineStation(course: ArchCourse): number {
  const step = course.lengthMm / (course.pointsMm.length - 1);
  let best = 0;
  course.pointsMm.forEach(([x, y], i) => {
    const [bx, by] = course.pointsMm[best];
    if (Math.abs(x) - y < Math.abs(bx) - by) best = i;
  });
  return best * step;
}

function faceLabels(mesh: ScanMesh, graph: SurfaceGraph, label: Int16Array): Uint8Array {
  const { indices } = mesh;
  const out = new Uint8Array(indices.length / 3);
  for (let f = 0; f < out.length; f++) {
    const a = label[graph.nodeOfVertex[indices[3 * f]]];
    const b = label[graph.nodeOfVertex[indices[3 * f + 1]]];
    const c = label[graph.nodeOfVertex[indices[3 * f + 2]]];
    out[f] = Math.max(GUM, b === c ? b : a);
  }
  return out;
}

function crownsOf(mesh: ScanMesh, faceCrown: Uint8Array, spans: readonly ToothSpan[]): readonly Crown[] {
  const { positions: p, indices } = mesh;
  const sums = spans.map(() => [0, 0, 0, 0]);
  for (let f = 0; f < faceCrown.length; f++) {
    if (faceCrown[f] === GUM) continue;
    const sum = sums[faceCrown[f] - 1];
    const a = 3 * indices[3 * f];
    const b = 3 * indices[3 * f + 1];
    const c = 3 * indices[3 * f + 2];
    const ux = p[b] - p[a];
    const uy = p[b + 1] - p[a + 1];
    const uz = p[b + 2] - p[a + 2];
    const vx = p[c] - p[a];
    const vy = p[c + 1] - p[a + 1];
    const vz = p[c + 2] - p[a + 2];
    const area = 0.5 * hypot3(uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx);
    sum[3] += area;
    for (let k = 0; k < 3; k++) sum[k] += (area * (p[a + k] + p[b + k] + p[c + k])) / 3;
  }
  return spans.map((span, i) => crown(span, sums[i]));
}

function crown(span: ToothSpan, [x, y, z, area]: readonly number[]): Crown {
  const doubts: string[] = [];
  if (span.evidence < DOUBTFUL) doubts.push('No clear cleft parts this crown from its neighbour.');
  if (area < 25) doubts.push('Very little surface was taken as this crown.');
  if (area > 420) doubts.push('More surface than one crown has was taken as this crown.');
  const size = area < 25 || area > 420 ? 0.3 : 1;
  const by = Math.max(area, 1e-9);
  return {
    tooth: span.tooth,
    centreMm: [x / by, y / by, z / by],
    areaMm2: area,
    confidence: size * (0.3 + 0.7 * span.evidence),
    doubts,
  };
}
