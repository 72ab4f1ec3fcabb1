import type { ArchFrame } from '../arch/ArchFrame.ts';
import type { Contact, Jaw, Tooth } from '../base/tooth.ts';
import type { Vec2, Vec3 } from '../base/Vec3.ts';
import type { PlacedMark } from '../marks/Mark.ts';

/** A number with its standard deviation; mm unless the name of the field says otherwise. */
export interface Estimate {
  readonly valueMm: number;
  readonly sdMm: number;
}

export interface MeasureWarning {
  readonly code: string;
  readonly message: string;
  readonly teeth?: readonly Tooth[];
}

export type ArchForm = 'spline' | 'polynomial4' | 'polynomial6' | 'beta' | 'catenary' | 'conic';

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
  readonly markSdMm: number; // SD of one mark along the mesiodistal direction, mm
  readonly medianEdgeMm: number; // local mesh spacing
  /** Separation between crown surfaces where it was measured on the surface; else it comes from the marks. */
  readonly surfaceSeparations?: readonly { readonly teeth: Contact; readonly separationMm: number }[];
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

/** One contact: separation along the arch (negative: overlap) and displacement in the occlusal plane. */
export interface ContactMeasure {
  readonly teeth: Contact;
  readonly separation: Estimate | null;
  readonly displacement: Estimate | null;
  readonly pointsMm: readonly [Vec3, Vec3] | null;
}

export interface ArchLine {
  readonly form: ArchForm;
  readonly length: Estimate; // between the mesial contact points of the first molars
  readonly fitRmsMm: number;
  readonly pointsInOcclusalPlane: readonly Vec2[]; // polyline drawn and measured, arch frame, right to left
  readonly weights: readonly {
    readonly tooth: Tooth;
    readonly site: 'mesial' | 'distal';
    readonly weight: number;
  }[]; // 0–1, robust
}

export interface ArchMeasures {
  readonly jaw: Jaw;
  readonly frame: ArchFrame;
  readonly teeth: readonly ToothMeasure[];
  readonly contacts: readonly ContactMeasure[];
  readonly line: ArchLine | null; // in the chosen form
  readonly lines: readonly ArchLine[]; // every form that could be fitted
  readonly fourSegments: Estimate | null;
  readonly sixSegments: Estimate | null;
  readonly irregularity: Estimate | null;
  readonly irregularityGrade: string | null;
  readonly depth: Estimate | null;
  readonly intercanine: Estimate | null;
  readonly interpremolar: Estimate | null;
  readonly intermolar: Estimate | null;
  readonly speeDepthRight: Estimate | null;
  readonly speeDepthLeft: Estimate | null;
  readonly midlineOffset: Estimate | null; // positive toward arch-frame +x
  readonly asymmetry: Estimate | null; // RMS of left against mirrored right contact points
  readonly warnings: readonly MeasureWarning[];
}
