import { type ArchFrame, sideways } from '../arch/ArchFrame.ts';
import { type Jaw, positionOf, quadrantOf, siteFacing } from '../base/tooth.ts';
import { add, cross, dot, scale, subtract, type Vec3 } from '../base/Vec3.ts';
import { type CrownShape, crownShapes } from '../crowns/crownShape.ts';
import { type Crown, type CrownMap, findCrowns, type TeethSaid } from '../crowns/findCrowns.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import type { MarkSite, PlacedMark } from './Mark.ts';
import { snapToAnatomy } from './snapToAnatomy.ts';
import { onSurface, type SnappedPoint, snapped, solveAlong } from './snapTooth.ts';

/** A whole arch proposed without a click. */
export interface MarkProposal {
  readonly crowns: CrownMap;
  readonly marks: readonly PlacedMark[]; // state 'proposed'
  readonly doubts: readonly { readonly tooth: number; readonly message: string }[];
}

export type ProposalStage = 'crowns' | 'contact-points' | 'done';

/** How far a proposal has come; `doneRatio` of the whole grows from 0 to 1. */
export interface ProposalProgress {
  readonly stage: ProposalStage;
  readonly doneRatio: number;
}

const CROWNS_SHARE = 0.6; // of the time

const GUESS_SD_MM = 0.5; // of a crown's outermost surface from its contact point, along the wall
/**
 * Where two crowns touch out of line, what can be seen of a wall leans toward the neighbour, and the fitted
 * point with it. Across the row the crown's own outermost surface is then nearer the truth and is taken
 * instead, the more the farther the two stand out of line; along the row the fit stands.
 */
const OUT_OF_LINE_MM = { from: 0.7, to: 1.3 };
const DOUBTFUL = 0.5;

/**
 * Proposes the contact points of every crown, and cusp tips or edge middles, from the surface alone.
 *
 * Units:    mm.
 * Refuses:  'not-an-arch' where no arch of crowns stands at the occlusal plane.
 * Accuracy: tests/core/marks/proposeMarks.test.ts.
 */
export function proposeMarks(
  index: SurfaceIndex,
  frame: ArchFrame,
  jaw: Jaw,
  said: TeethSaid,
  onStage: (progress: ProposalProgress) => void = () => {},
): MarkProposal {
  const crowns = findCrowns(index.mesh, frame, jaw, said, (ratio) =>
    onStage({ stage: 'crowns', doneRatio: CROWNS_SHARE * ratio }),
  );
  const shapes = crownShapes(index.mesh, frame, crowns);
  const sides = shapes.map((shape) => (shape ? fittedSides(index, frame, shape) : null));
  const marks: PlacedMark[] = [];
  const doubts: { tooth: number; message: string }[] = [];
  crowns.crowns.forEach((crown, i) => {
    for (const message of crown.doubts) doubts.push({ tooth: crown.tooth, message });
    const shape = shapes[i];
    const fitted = sides[i];
    if (!shape || !fitted) return;
    const own = fitted.map((side) =>
      placed(crown, side.site, settledSide(side, facing(crowns.crowns, sides, i, side.site))),
    );
    if (own.some((m) => (m.confidence ?? 0) < DOUBTFUL))
      doubts.push({ tooth: crown.tooth, message: 'A contact point is hidden or unclear.' });
    marks.push(...own, tipMark(index, frame, crown, shape, own));
  });
  return { crowns, marks, doubts };
}

/** The neighbour's side that faces one side of a crown; null at the ends of the row. */
function facing(
  crowns: readonly Crown[],
  sides: readonly (readonly FittedSide[] | null)[],
  i: number,
  site: 'mesial' | 'distal',
): FittedSide | null {
  for (const k of [i - 1, i + 1]) {
    const other = crowns[k];
    if (!other || siteFacing(crowns[i].tooth, other.tooth) !== site) continue;
    const wanted = siteFacing(other.tooth, crowns[i].tooth);
    return sides[k]?.find((side) => side.site === wanted) ?? null;
  }
  return null;
}

interface FittedSide {
  readonly site: 'mesial' | 'distal';
  readonly guessMm: Vec3; // outermost surface of the crown
  readonly snap: SnappedPoint;
  readonly aside: Vec3; // unit, across the row
}

function fittedSides(index: SurfaceIndex, frame: ArchFrame, shape: CrownShape): readonly FittedSide[] {
  const guess = (pointMm: Vec3) => ({
    pointMm: onSurface(index, pointMm, 'proposeMarks'),
    placeSdMm: GUESS_SD_MM,
  });
  const out = add(scale(sideways(frame), shape.mesial[0]), scale(frame.forward, shape.mesial[1]));
  const guesses = [guess(shape.mesialMm), guess(shape.distalMm)];
  const found = solveAlong(index, frame, guesses, out, { turnRad: 0, turnSdRad: shape.turnSdRad });
  return (['mesial', 'distal'] as const).map((site, k) => ({
    site,
    guessMm: guesses[k].pointMm,
    snap: snapped(guesses[k].pointMm, guesses[k].pointMm, found[k]),
    aside: cross(frame.occlusal, out),
  }));
}

/** A side moved across the row toward the crown's own outermost surface where its neighbour stands out of line. */
function settledSide(side: FittedSide, neighbour: FittedSide | null): SnappedPoint {
  if (!neighbour) return side.snap;
  const outOfLineMm = Math.abs(dot(subtract(side.guessMm, neighbour.guessMm), side.aside));
  const { from, to } = OUT_OF_LINE_MM;
  const share = Math.max(0, Math.min(1, (outOfLineMm - from) / (to - from)));
  const offMm = share * dot(subtract(side.guessMm, side.snap.pointMm), side.aside);
  return { ...side.snap, pointMm: add(side.snap.pointMm, scale(side.aside, offMm)) };
}

/** Edge middle of an incisor; tip of a canine; the highest cusp found on other crowns. */
function tipMark(
  index: SurfaceIndex,
  frame: ArchFrame,
  crown: Crown,
  shape: CrownShape,
  own: readonly PlacedMark[],
): PlacedMark {
  const incisor = positionOf(crown.tooth) <= 2 && quadrantOf(crown.tooth) <= 8;
  const site: MarkSite = incisor ? 'incisal' : 'cusp';
  const snap = snapToAnatomy({
    index,
    frame,
    tooth: crown.tooth,
    site,
    clickMm: incisor ? shape.edgeMm : shape.cuspMm,
    marks: own,
  });
  return placed(crown, site, snap);
}

const placed = (crown: Crown, site: MarkSite, snap: SnappedPoint): PlacedMark => ({
  tooth: crown.tooth,
  site,
  pointMm: snap.pointMm,
  state: 'proposed',
  sdMm: snap.sdMm,
  confidence: Math.min(1, snap.confidence * Math.max(0.3, crown.confidence)),
});
