import type { ArchFrame } from '../arch/ArchFrame.ts';
import type { Contact, Jaw, Notation, Tooth } from '../base/tooth.ts';
import type { CrownCorrections } from '../crowns/crownCorrections.ts';
import type { Reading } from '../marks/Mark.ts';
import type { ArchForm } from '../measure/ArchMeasures.ts';
import type { CourseSettings } from '../reduction/motion/CourseSettings.ts';
import type { OwnAmount } from '../reduction/ownAmounts.ts';
import type { TogetherSettings } from '../reduction/ratioBands.ts';
import type { MidlineWish } from '../reduction/sidesInBalance.ts';
import type { ScanFacts } from '../scan/ScanMesh.ts';
import type { Allowance, PerimeterMethod, WidthPrediction } from '../space/Ledger.ts';
import type { CutEntry, CuttingOverride } from '../visits/CutEntry.ts';
import type { ClosureSettings } from '../visits/closurePlan.ts';
import type { FollowUpRecord } from '../visits/FollowUpRecord.ts';

/**
 * `case@1`: everything the user decided or confirmed about one patient's arches. Derived numbers are never
 * stored; they are recomputed from this by core. Scans are kept beside it, found by their SHA-256.
 */
export interface CaseDocument {
  readonly schema: 'archledger/case@1';
  readonly id: string;
  readonly title: string; // typed by the user; empty by default
  readonly createdAt: string; // ISO 8601
  readonly arches: { readonly upper: ArchRecord | null; readonly lower: ArchRecord | null };
  readonly notation: Notation;
  /** Population whose tooth-size ratio serves as the norm; id in core/space/toothSizeNorms.ts. */
  readonly ratioNorm: string;
  /** How both arches are planned together; absent: each by itself. */
  readonly together?: TogetherSettings;
  /** How the forecast takes cutting to be: 'as-planned' (the default), 'own-record' or a study of cuttingPriors.ts. */
  readonly cutting?: string;
  /** Widths measured by a caliper, for comparison alone: no width of the arches comes from them. */
  readonly caliper?: readonly CaliperWidth[];
}

export interface CaliperWidth {
  readonly tooth: Tooth;
  readonly widthMm: number;
}

export interface ArchRecord {
  readonly jaw: Jaw;
  readonly scan: ScanFacts;
  readonly medianEdgeMm: number; // of the scan's mesh; kept so that a case reads the same without its scan
  readonly frame: ArchFrame;
  readonly frameSource: 'found' | 'corrected';
  readonly frameConfidence: number | null; // 0–1
  readonly readings: readonly Reading[];
  readonly activeReading: number; // index into readings
  readonly chart: ToothChart;
  readonly form: ArchForm;
  readonly perimeter: PerimeterMethod;
  readonly markSdMm: number;
  /** How widths of unerupted teeth are predicted; null: each needs an entered width. */
  readonly prediction: WidthPrediction | null;
  readonly allowances: readonly Allowance[];
  readonly plan: PlanSettings;
  /** The user's own amounts, every contact that gives enamel, in place of the plan's; absent where the plan is in force. */
  readonly ownTenths?: readonly OwnAmount[];
  /** How the teeth are moved to the planned arch; absent: COURSE_DEFAULTS. */
  readonly course?: CourseSettings;
  /** What the user said of the crowns by clicks and painting; absent where nothing was. */
  readonly crownCorrections?: CrownCorrections;
  /** What was done visit by visit; entries are only ever added. */
  readonly visits?: readonly CutEntry[];
  /** Later scans of this arch, in the order taken. */
  readonly followUps?: readonly FollowUpRecord[];
  readonly closure?: ClosureSettings;
  /** Words for cutting where space is in excess, each with its reason. */
  readonly overrides?: readonly CuttingOverride[];
}

/** What the user says of the teeth; a tooth not listed is present and erupted. Third molars count only when listed. */
export interface ToothChart {
  readonly missing: readonly Tooth[];
  readonly unerupted: readonly Tooth[];
  readonly thirdMolars: readonly Tooth[];
  /** Primary teeth that stand, each with its successor unerupted; absent where there are none. */
  readonly primary?: readonly Tooth[];
  readonly enteredWidths: readonly {
    readonly tooth: Tooth;
    readonly widthMm: number;
    readonly sdMm: number;
  }[];
}

export interface PlanSettings {
  readonly neededMm: number | null; // null: from the ledger
  readonly stepMm: number;
  readonly overshootRisk: number;
  readonly visits: number;
  readonly perVisitLimitMm: number;
  readonly contacts: readonly ContactSettings[]; // only contacts that differ from the defaults
  /** Where the plan shall move the middle of the arch; absent: wherever the shares leave it. */
  readonly midline?: MidlineWish;
}

export interface ContactSettings {
  readonly teeth: Contact;
  readonly limitMm: number | null; // null: default
  readonly limitReason: string; // recorded when the limit is above the default
  readonly surfaceLimitsMm: readonly [number | null, number | null];
  readonly earlierReductionMm: readonly [number, number]; // enamel taken by earlier treatment, per surface
  /** Thickness of the untouched enamel as read on a radiograph, per surface; absent or null: the published mean. */
  readonly enamelMm?: readonly [number | null, number | null];
  readonly lock: 'restoration' | 'implant' | 'caries-risk' | 'refused' | 'other' | null;
  readonly reachableFromVisit: number;
}
