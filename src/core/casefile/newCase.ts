import type { ArchFrame } from '../arch/ArchFrame.ts';
import type { Jaw } from '../base/tooth.ts';
import type { ScanFacts } from '../scan/ScanMesh.ts';
import type { ArchRecord, CaseDocument } from './CaseDocument.ts';
import { PLAN_DEFAULTS } from './planDefaults.ts';

/**
 * SD of one mark along the mesiodistal direction before an observer's own repeats say better.
 * Source: our definition, from clicks scattered about true contact points of generated arches and snapped.
 */
export const DEFAULT_MARK_SD_MM = 0.07;

/** The norm a new case is compared with. Source: Bolton WA, Angle Orthod 1958;28:113–130. */
const DEFAULT_RATIO_NORM = 'bolton-1958';

/** A case with nothing in it; `id` and the time come from outside, core has no clock. */
export const emptyCase = (id: string, createdAt: string): CaseDocument => ({
  schema: 'archledger/case@1',
  id,
  title: '',
  createdAt,
  notation: 'iso',
  ratioNorm: DEFAULT_RATIO_NORM,
  arches: { upper: null, lower: null },
});

export interface NewArch {
  readonly jaw: Jaw;
  readonly scan: ScanFacts;
  readonly medianEdgeMm: number;
  readonly frame: ArchFrame;
  readonly frameSource?: ArchRecord['frameSource']; // 'found' by default
  readonly frameConfidence?: number | null; // null by default
  readonly observer?: string; // of the first reading; empty by default
}

/** A scan just opened: nothing marked, nothing decided, every setting at its default. */
export const newArchRecord = (arch: NewArch): ArchRecord => ({
  jaw: arch.jaw,
  scan: arch.scan,
  medianEdgeMm: arch.medianEdgeMm,
  frame: arch.frame,
  frameSource: arch.frameSource ?? 'found',
  frameConfidence: arch.frameConfidence ?? null,
  readings: [{ observer: arch.observer ?? '', repeat: 1, marks: [] }],
  activeReading: 0,
  chart: { missing: [], unerupted: [], thirdMolars: [], enteredWidths: [] },
  form: 'spline',
  perimeter: 'line',
  markSdMm: DEFAULT_MARK_SD_MM,
  prediction: null,
  allowances: [],
  plan: PLAN_DEFAULTS,
});
