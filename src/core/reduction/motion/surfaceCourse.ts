import type { ArchFrame } from '../../arch/ArchFrame.ts';
import { Refusal } from '../../base/refusal.ts';
import type { Contact, Tooth } from '../../base/tooth.ts';
import type { ScanMesh } from '../../scan/ScanMesh.ts';
import type { ContactCourse } from './contactCourse.ts';
import { crownWall, type OwnSurface, ownSurface } from './crownWall.ts';
import type { PlanePose, StandingTooth } from './StandingTooth.ts';
import { wallGap } from './wallGap.ts';

/** Two neighbouring crowns over all stages, for the surfaces. */
export interface SurfacePair {
  readonly teeth: readonly [StandingTooth, StandingTooth];
  readonly poses: readonly [readonly PlanePose[], readonly PlanePose[]]; // by stage
}

/** The crowns of a scan as they were found. */
export interface FoundCrowns {
  readonly faceCrown: Uint8Array; // per face: 0 gum, otherwise 1 + index into crownTeeth
  readonly crownTeeth: readonly Tooth[];
}

/** Gaps between the crowns' own surfaces, by stage; negative: overlap. Units: mm. */
export interface SurfaceContact {
  readonly teeth: Contact;
  readonly wholeGapMm: Float32Array;
  readonly reducedGapMm: Float32Array;
}

export interface SurfaceCourse {
  readonly contacts: readonly SurfaceContact[];
  readonly withoutCrown: readonly Tooth[]; // teeth for which no surface was found; their contacts are left out
}

/**
 * Collisions between the crowns' real surfaces at every stage, moved rigidly, before and after the planned enamel is
 * off: a side keeps its form and is set back by what the plan takes from it.
 *
 * Rejected: a flat cut at the planned depth; flats square to their own teeth cannot meet on a curved row, and shared
 * 0.1 to 0.3 mm at their inner edges although enough was taken.
 *
 * Units:    mm.
 * Refuses:  'scan-mismatch' where the crowns were found on another mesh.
 * Accuracy: shapes — tests/core/reduction/motion/wallGap.test.ts; generated arches against their exact crowns —
 *           tests/core/reduction/motion/courseAccuracy.test.ts.
 */
export function surfaceCourse(
  mesh: Pick<ScanMesh, 'positions' | 'indices'>,
  frame: ArchFrame,
  found: FoundCrowns,
  pairs: readonly SurfacePair[],
  onProgress: (doneRatio: number) => void = () => {},
): SurfaceCourse {
  if (3 * found.faceCrown.length !== mesh.indices.length)
    throw new Refusal(
      'scan-mismatch',
      `surfaceCourse: the crowns are those of another mesh; got ${found.faceCrown.length} faces, need ${mesh.indices.length / 3}. Find the crowns again.`,
    );
  const map = { faceCrown: found.faceCrown, crowns: found.crownTeeth.map((tooth) => ({ tooth })) };
  const surfaces = new Map<Tooth, OwnSurface | null>();
  for (const { teeth } of pairs)
    for (const tooth of teeth)
      if (!surfaces.has(tooth.tooth)) surfaces.set(tooth.tooth, ownSurface(mesh, frame, map, tooth));
  onProgress(0);
  const contacts = pairs.flatMap(({ teeth: [a, b], poses }, i): SurfaceContact[] => {
    const [own, other] = [surfaces.get(a.tooth), surfaces.get(b.tooth)];
    if (!own || !other) return [];
    const [left, right] = [crownWall(own, 'left'), crownWall(other, 'right')];
    const gaps = (backA: number, backB: number): Float32Array =>
      Float32Array.from(poses[0], (pose, k) =>
        wallGap({ wall: left, setBackMm: backA, pose }, { wall: right, setBackMm: backB, pose: poses[1][k] }),
      );
    const wholeGapMm = gaps(0, 0);
    const isCut = a.cutLeftMm > 0 || b.cutRightMm > 0;
    const contact = {
      teeth: [a.tooth, b.tooth] as const,
      wholeGapMm,
      reducedGapMm: isCut ? gaps(a.cutLeftMm, b.cutRightMm) : wholeGapMm.slice(),
    };
    onProgress((i + 1) / pairs.length);
    return [contact];
  });
  return {
    contacts,
    withoutCrown: [...surfaces].flatMap(([tooth, surface]) => (surface ? [] : [tooth])),
  };
}

/** Contact courses with the surfaces' gaps in place of the blocks'; a contact without surfaces keeps its blocks. */
export function withSurfaceGaps(
  contacts: readonly ContactCourse[],
  surfaces: readonly SurfaceContact[],
): readonly ContactCourse[] {
  return contacts.map((contact) => {
    const own = surfaces.find(
      ({ teeth, wholeGapMm }) =>
        teeth[0] === contact.teeth[0] &&
        teeth[1] === contact.teeth[1] &&
        wholeGapMm.length === contact.stages.length,
    );
    if (!own) return contact;
    return {
      ...contact,
      stages: contact.stages.map((stage, k) => ({
        ...stage,
        wholeGapMm: own.wholeGapMm[k],
        reducedGapMm: own.reducedGapMm[k],
      })),
    };
  });
}
