import type { Contact, Jaw, Tooth } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';

/** How one crown changed between two scans of the same arch; directions in the arch frame of the earlier scan. */
export interface ToothChange {
  readonly tooth: Tooth;
  /** Later width minus earlier, from the two surfaces laid over each other; null where it cannot be had. */
  readonly widthChange: Estimate | null;
  /** Enamel gone from each proximal surface, mesial first; positive: gone. */
  readonly enamelGone: readonly [Estimate | null, Estimate | null];
  /** Movement of the crown's centre: along the arch (positive distal), outward, out of the gum. */
  readonly movedMm: Vec3;
  readonly movedSdMm: number; // of each of the three
  /** Turn of the crown: about z (positive counter-clockwise from above), about the mesiodistal and the outward axis. */
  readonly turnedRad: Vec3;
  readonly turnedSdRad: number; // of each of the three
  /** Of the distances left between the two surfaces of this crown, where they did not change. */
  readonly residualRmsMm: number;
  readonly doubts: readonly string[]; // in words, empty when there are none
}

/** One contact on both scans, measured between the crown surfaces; negative: they overlap. */
export interface ContactChange {
  readonly teeth: Contact;
  readonly separationBefore: Estimate | null;
  readonly separationAfter: Estimate | null;
  /** Enamel gone from both surfaces together. */
  readonly enamelGone: Estimate | null;
  readonly doubts: readonly string[]; // in words, empty when there are none
}

/** What movements are told against: the palate, or the teeth that moved least against each other. */
export interface MovementReference {
  readonly kind: 'palate' | 'teeth';
  readonly teeth: readonly Tooth[]; // taken as unmoved; none where it is the palate
  readonly rmsMm: number; // of what is left of the reference after it was laid over itself
}

/** What a follow-up scan says beside an earlier one. */
export interface FollowUpMeasure {
  readonly jaw: Jaw;
  readonly earlierSha256: string;
  readonly laterSha256: string;
  readonly teeth: readonly ToothChange[]; // in order round the arch
  readonly contacts: readonly ContactChange[];
  readonly reference: MovementReference;
  /** Of the distances left between the scans laid over each other, over what did not change. */
  readonly residualRmsMm: number;
  readonly matchedRatio: number; // 0–1, share of the crown surface that found its like
}
