import type { Contact, Jaw, Tooth } from '../core/base/tooth.ts';
import type { Vec3 } from '../core/base/Vec3.ts';
import type { ArchChange } from './ArchChange.ts';
import type { FullRecipe } from './ArchRecipe.ts';

/**
 * What is exactly true of a generated arch. Points in the scan frame, lengths in mm, all of the crowns as
 * designed: before contacts are bridged and noise is added. Nothing that measures a scan may read it.
 */
export interface SampleTruth {
  readonly schema: 'archledger-sample-truth@1';
  readonly name: string | null;
  readonly jaw: Jaw;
  readonly recipe: FullRecipe;
  /** Where this is a later scan: what was done to the arch of the recipe. */
  readonly change?: ArchChange;
  /** z out of the gum, y forward; origin on the plane of the incisal edges, below the front of the line. */
  readonly frame: { readonly originMm: Vec3; readonly occlusal: Vec3; readonly forward: Vec3 };
  readonly teeth: readonly ToothTruth[];
  readonly contacts: readonly ContactTruth[];
  readonly arch: {
    /** Arc length of the generating curve between the first molars' mesial ends: the line on which the teeth, aligned, would stand. */
    readonly lineLengthMm: number;
    /** How far outside that line the contacts of aligned teeth stand, which makes up chord against arc. */
    readonly outsideMm: number;
    /** Length of the smooth line through aligned contacts: the line, moved outward by `outsideMm`. */
    readonly contactLineLengthMm: number;
    /** Sum of the five displacements canine to canine in the occlusal plane; null when a tooth is missing there. */
    readonly irregularityMm: number | null;
    /** From the middle of the central incisors' mesial points to the line joining the first molars' mesial points, along forward. */
    readonly depthMm: number | null;
    readonly intercanineMm: number | null; // canine tip to canine tip, occlusal plane
    readonly intermolarMm: number | null; // mesiobuccal cusp tip to tip of the first molars, occlusal plane
    /** First molar mesial – canine mesial – midline on both sides, straight pieces in the occlusal plane. */
    readonly fourSegmentsMm: number | null;
    /** First molar mesial – canine distal – canine mesial – midline on both sides. */
    readonly sixSegmentsMm: number | null;
    /**
     * Greatest distance of a side's cusps, canine to first molar, from the plane through the middle of the central
     * incisors' edges and the mesiobuccal cusps of the second molars (without them, of the first); 0 where none
     * lies below it (lower arch) or beyond it (upper).
     */
    readonly speeMm: { readonly right: number; readonly left: number } | null;
  };
  /** Permanent teeth that have yet to come where primary ones stand; absent where there are none. */
  readonly successors?: readonly { readonly tooth: Tooth; readonly widthMm: number }[];
  /**
   * available = arch.lineLengthMm; required = widths between the first molars; difference = spaces − crowding,
   * exactly. Where primary teeth stand their successors' widths are required, and the difference has the leeway in it.
   */
  readonly space: {
    readonly availableMm: number;
    readonly requiredMm: number;
    readonly differenceMm: number;
  };
}

export interface ToothTruth {
  readonly tooth: Tooth;
  readonly widthMm: number; // mesialMm to distalMm along mesiodistalAxis
  readonly mesialMm: Vec3; // outermost points of the crown's proximal walls along its mesiodistal axis
  readonly distalMm: Vec3;
  readonly cuspMm: Vec3 | null; // canine tip, buccal cusp of a premolar, mesiobuccal cusp of a molar
  readonly incisalMm: Vec3 | null; // middle of an incisal edge
  readonly mesiodistalAxis: Vec3; // unit, toward mesial
}

export interface ContactTruth {
  readonly teeth: Contact;
  readonly separationMm: number; // free distance of the crown surfaces, 0 where they touch
  readonly displacementMm: number; // between the two contact points, in the occlusal plane
  readonly alongArchMm: number; // between the two contact points along the line; negative: they overlap
}
