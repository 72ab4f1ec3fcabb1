import type { Tooth } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';

/** `cusp`: canine tip, buccal cusp of a premolar, mesiobuccal cusp of a molar. `incisal`: middle of an incisal edge. */
export type MarkSite = 'mesial' | 'distal' | 'cusp' | 'incisal';

/** An anatomical point on a crown, scan frame, mm. This is what a `marks` file holds. */
export interface Mark {
  readonly tooth: Tooth;
  readonly site: MarkSite;
  readonly pointMm: Vec3;
}

/**
 * A mark as it stands in a case: `proposed` by the program and not yet looked at, or `confirmed`
 * (placed, moved or accepted by the user). `confidence` 0–1, null where nobody can say.
 */
export interface PlacedMark extends Mark {
  readonly state: 'proposed' | 'confirmed';
  readonly confidence: number | null;
  readonly sdMm?: number; // its own SD along the mesiodistal direction, where known (replicates)
}

/** One observer's one pass over a scan; readings are kept apart so that repeatability can be computed. */
export interface Reading {
  readonly observer: string; // free text, may be empty
  readonly repeat: number; // 1, 2, …
  readonly marks: readonly PlacedMark[];
  /** A blinded reading: teeth are asked for in an order of chance with this seed, and nothing is proposed. */
  readonly orderSeed?: number;
}

export const markKey = (mark: Pick<Mark, 'tooth' | 'site'>): string => `${mark.tooth}-${mark.site}`;
