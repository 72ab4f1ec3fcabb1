import type { ArchFrame } from '../arch/ArchFrame.ts';
import type { Contact, Jaw, Tooth } from '../base/tooth.ts';
import type { Vec2, Vec3 } from '../base/Vec3.ts';
import type { PlacedMark } from '../marks/Mark.ts';
import type { SurfaceSeparation } from '../marks/surfaceSeparations.ts';

/** A number with its standard deviation; mm unless the name of the field says otherwise. */
export interface Estimate {
  readonly valueMm: number;
  readonly sdMm: number;
}

/**
 * What is odd, or cannot be had and why. Codes: '<measure>-missing' (line, four-segments, six-segments,
 * irregularity, depth, intercanine, interpremolar, intermolar, spee, midline, asymmetry, width, contact),
 * 'teeth-not-marked', 'form-not-fitted'; 'intercanine-', 'interpremolar-', 'intermolar-from-contacts' and
 * 'spee-from-first-molars' (had another way); 'width-unusual', 'width-sides-differ', 'width-entered-over-marks',
 * 'missing-but-marked', 'place-shared', 'sites-exchanged' (look again).
 */
export interface MeasureWarning {
  readonly code: string;
  readonly message: string;
  readonly teeth?: readonly Tooth[];
}

export type ArchForm = 'spline' | 'polynomial4' | 'polynomial6' | 'beta' | 'catenary' | 'conic';

export type IrregularityGrade = 'perfect' | 'minimal' | 'moderate' | 'severe' | 'very severe';

/** What a measurement is made of. Teeth neither marked, entered nor missing are simply not measured. */
export interface MeasureInput {
  readonly jaw: Jaw;
  readonly frame: ArchFrame;
  readonly marks: readonly PlacedMark[];
  readonly missing: readonly Tooth[];
  readonly enteredWidths: readonly {
    readonly tooth: Tooth;
    readonly widthMm: number;
    readonly sdMm: number;
  }[];
  readonly form: ArchForm; // 'spline' by default
  /** Forms of `lines` beside the chosen one; all by default. Changes no other number. */
  readonly forms?: readonly ArchForm[];
  readonly markSdMm: number; // SD of one mark along the mesiodistal direction, mm
  readonly markSdAcrossMm?: number; // across it, mm; default ACROSS_RATIO × markSdMm
  readonly medianEdgeMm: number; // local mesh spacing
  /** Separation between crown surfaces where it was measured on the surface; else it comes from the marks. */
  readonly surfaceSeparations?: readonly SurfaceSeparation[];
}

export interface ToothMeasure {
  readonly tooth: Tooth;
  readonly widthMm: number;
  readonly widthOcclusalMm: number | null; // null for an entered width
  readonly sdMm: number;
  readonly mesialMm: Vec3 | null; // evidence, scan frame
  readonly distalMm: Vec3 | null;
  readonly source: 'marked' | 'proposed' | 'entered';
  readonly confidence: number | null;
}

/** One contact; displacement in the occlusal plane. */
export interface ContactMeasure {
  readonly teeth: Contact;
  /** Least distance between the crowns where their surfaces show it, 0 where they are joined; else `alongArch`. */
  readonly separation: Estimate | null;
  readonly separationFrom: 'surface' | 'marks';
  /** From contact point to contact point along the arch; negative: overlap. */
  readonly alongArch: Estimate | null;
  readonly displacement: Estimate | null;
  readonly pointsMm: readonly [Vec3, Vec3] | null;
}

export interface ArchLine {
  readonly form: ArchForm;
  readonly length: Estimate; // between the mesial contact points of the first molars; SD of both parts below
  readonly markSdMm: number; // from the marks' errors
  readonly scatterSdMm: number; // from teeth standing off the line
  readonly chordExcessMm: number; // how much the curve exceeds straight teeth of the measured widths set along it
  readonly fitRmsMm: number; // of the distances, weighted as in the fit
  readonly pointsInOcclusalPlane: readonly Vec2[]; // polyline drawn and measured, arch frame, right to left
  readonly weights: readonly {
    readonly tooth: Tooth;
    readonly site: 'mesial' | 'distal';
    readonly weight: number; // 0–1, of the tooth in the fit; 0 has no say
    readonly alongMm: number; // place on the line, from the right first molar's mesial contact point
    readonly outwardMm: number; // distance from the line, positive outside the arch
  }[];
}

/** Room across teeth that are missing or unerupted; not a separation to be closed. */
export interface ArchGap {
  readonly teeth: Contact; // the teeth beside it
  readonly missing: readonly Tooth[];
  readonly room: Estimate; // along the arch line, contact point to contact point
  readonly pointsMm: readonly [Vec3, Vec3];
}

/**
 * What one contact point does to the lengths, first order; vectors in the scan frame, mm of length per mm of
 * mark. Two results share the error of this mark: see markCovariance.
 */
export interface MarkInfluence {
  readonly tooth: Tooth;
  readonly site: 'mesial' | 'distal';
  readonly mesiodistal: Vec3 | null; // unit; null: the error is alike in all directions
  readonly sdAlongMm: number;
  readonly sdAcrossMm: number;
  readonly width: Vec3; // of the tooth's own width; zero when the width was entered or could not be had
  readonly line: Vec3; // of the arch line in the chosen form; zero when there is none
  readonly fourSegments: Vec3;
  readonly sixSegments: Vec3;
}

export interface ArchMeasures {
  readonly jaw: Jaw;
  readonly frame: ArchFrame;
  readonly teeth: readonly ToothMeasure[];
  readonly contacts: readonly ContactMeasure[];
  readonly gaps: readonly ArchGap[];
  readonly line: ArchLine | null; // in the chosen form
  readonly lines: readonly ArchLine[]; // every form that could be fitted
  readonly fourSegments: Estimate | null;
  readonly sixSegments: Estimate | null;
  readonly irregularity: Estimate | null;
  readonly irregularityGrade: IrregularityGrade | null;
  readonly depth: Estimate | null;
  readonly intercanine: Estimate | null;
  readonly interpremolar: Estimate | null;
  readonly intermolar: Estimate | null;
  readonly speeDepthRight: Estimate | null;
  readonly speeDepthLeft: Estimate | null;
  readonly midlineOffset: Estimate | null; // positive toward arch-frame +x
  readonly asymmetry: Estimate | null; // RMS of left against mirrored right contact points
  readonly gradients: readonly MarkInfluence[]; // per contact point, in order round the arch
  readonly warnings: readonly MeasureWarning[];
}
