import type { ArchFrame } from '../../core/arch/ArchFrame.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord, CaseDocument, PlanSettings, ToothChart } from '../../core/casefile/CaseDocument.ts';
import type { ScanFacts } from '../../core/scan/ScanMesh.ts';

/** SD of one mark along the mesiodistal direction, mm; a starting value, corrected by repeated readings. */
export const DEFAULT_MARK_SD_MM = 0.1;

const EMPTY_CHART: ToothChart = { missing: [], unerupted: [], thirdMolars: [], enteredWidths: [] };

export const DEFAULT_PLAN: PlanSettings = {
  neededMm: null,
  stepMm: 0.1,
  overshootRisk: 0.05,
  visits: 4,
  perVisitLimitMm: 0.3,
  contacts: [],
};

/** An empty case. */
export function newCaseDocument(): CaseDocument {
  return {
    schema: 'archledger/case@1',
    id: crypto.randomUUID(),
    title: '',
    createdAt: new Date().toISOString(),
    arches: { upper: null, lower: null },
    notation: 'iso',
    ratioNorm: 'bolton-1958',
  };
}

/** A fresh record for a scan that was just opened: nothing marked, nothing decided. */
export function newArchRecord(
  jaw: Jaw,
  scan: ScanFacts,
  frame: ArchFrame,
  frameConfidence: number | null,
): ArchRecord {
  return {
    jaw,
    scan,
    frame,
    frameSource: 'found',
    frameConfidence,
    readings: [{ observer: '', repeat: 1, marks: [] }],
    activeReading: 0,
    chart: EMPTY_CHART,
    form: 'spline',
    perimeter: 'line',
    markSdMm: DEFAULT_MARK_SD_MM,
    allowances: [],
    plan: DEFAULT_PLAN,
  };
}
