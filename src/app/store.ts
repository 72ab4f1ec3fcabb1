import { temporal } from 'zundo';
import { create } from 'zustand';
import type { ArchFrame } from '../core/arch/ArchFrame.ts';
import type { Contact, Jaw, Notation, Tooth } from '../core/base/tooth.ts';
import type { Vec3 } from '../core/base/Vec3.ts';
import type {
  ArchRecord,
  CaliperWidth,
  CaseDocument,
  ContactSettings,
  PlanSettings,
} from '../core/casefile/CaseDocument.ts';
import { emptyCase, newArchRecord } from '../core/casefile/newCase.ts';
import type { CrownCorrections } from '../core/crowns/crownCorrections.ts';
import type { MarkSite, PlacedMark } from '../core/marks/Mark.ts';
import type { ArchForm } from '../core/measure/ArchMeasures.ts';
import { COURSE_DEFAULTS, type CourseSettings } from '../core/reduction/motion/CourseSettings.ts';
import type { OwnAmount } from '../core/reduction/ownAmounts.ts';
import type { ReductionPlan } from '../core/reduction/ReductionPlan.ts';
import { TOGETHER_DEFAULTS, type TogetherSettings } from '../core/reduction/ratioBands.ts';
import type { MidlineWish } from '../core/reduction/sidesInBalance.ts';
import type { Allowance, WidthPrediction } from '../core/space/Ledger.ts';
import type { LoadedScanOnPage } from './LoadedScanOnPage.ts';
import {
  presentIn,
  type ToothPresence,
  withConfirmed,
  withContactSettings,
  withContactsChanged,
  withCrownsCorrected,
  withEnteredWidth,
  withMarkAt,
  withoutMark,
  withoutProposals,
  withPresence,
  withProposals,
} from './state/archEdits.ts';
import { withOwnTenth, withoutOwnTenths } from './state/ownTenths.ts';
import { type LaterScan, withShownMarks } from './state/shownArch.ts';
import { scansNamed } from './storage/caseStore.ts';

export interface SiteRef {
  readonly tooth: Tooth;
  readonly site: MarkSite;
}

/** What is shown and selected. Never saved with the case, never undone. */
export interface UiState {
  readonly selectedSite: SiteRef | null;
  readonly hoveredSite: SiteRef | null;
  readonly selectedTooth: Tooth | null;
  readonly selectedContact: Contact | null;
  readonly theme: 'light' | 'dark' | 'system';
  readonly loupeOn: boolean;
  /** Section plane across the arch, at `offsetMm` from the selected site; hides what is in front of it. */
  readonly clip: { readonly on: boolean; readonly offsetMm: number };
  readonly markingFollowsOrder: boolean;
  readonly marksShown: boolean;
  /** Marks of these teeth are shown as what a number rests on. */
  readonly laterScan: LaterScan | null; // in place of the first scan; marks are then placed on it
  readonly revealEvidence: { readonly teeth: readonly Tooth[]; readonly label: string } | null;
  /** Last result said in the live region; `count` grows so that a repeated text is said again. */
  readonly announcement: { readonly text: string; readonly count: number };
}

/** A scan that was read, with the frame found for it; the document gets facts and frame, the page the mesh. */
export interface OpenedScan {
  readonly scan: LoadedScanOnPage;
  readonly frame: ArchFrame;
  readonly frameConfidence: number | null;
}

export interface Actions {
  // case
  readonly newCase: () => void;
  /** Replaces the case and forgets the undo history. */
  readonly openCase: (document: CaseDocument) => void;
  readonly setTitle: (title: string) => void;
  readonly setNotation: (notation: Notation) => void;
  readonly setRatioNorm: (id: string) => void;
  readonly setTogether: (change: Partial<TogetherSettings>) => void;
  /** How the forecast takes cutting to be; see cuttingPriors.ts. */
  readonly setCutting: (cutting: string) => void;
  /** Caliper widths of the study; in the order of the arches. */
  readonly setCaliper: (caliper: readonly CaliperWidth[]) => void;
  // scans
  /** The same scan in the same unit keeps its record and only brings back its mesh. */
  readonly openScanInto: (jaw: Jaw, opened: OpenedScan) => void;
  /** Mesh for a scan the document already knows; no change to the case. */
  readonly attachScan: (scan: LoadedScanOnPage) => void;
  readonly removeArch: (jaw: Jaw) => void;
  readonly setFrame: (jaw: Jaw, frame: ArchFrame) => void;
  // marks
  /** `sdMm`: the SD of a point that was snapped to; without it the arch's own mark SD counts. */
  readonly placeMark: (jaw: Jaw, tooth: Tooth, site: MarkSite, pointMm: Vec3, sdMm?: number) => void;
  readonly moveMark: (jaw: Jaw, tooth: Tooth, site: MarkSite, pointMm: Vec3, sdMm?: number) => void;
  readonly removeMark: (jaw: Jaw, tooth: Tooth, site: MarkSite) => void;
  readonly confirmMark: (jaw: Jaw, tooth: Tooth, site: MarkSite) => void;
  readonly confirmMarks: (jaw: Jaw, chosen: (mark: PlacedMark) => boolean) => void;
  /** Takes the place of earlier proposals, never of a confirmed mark; one step of undo. */
  readonly proposeMarks: (jaw: Jaw, marks: readonly PlacedMark[]) => void;
  readonly discardProposals: (jaw: Jaw) => void;
  /** Corrections, and the marks found with them on some teeth, as one step of undo; these teeth are present. */
  readonly correctCrowns: (
    jaw: Jaw,
    corrections: CrownCorrections,
    teeth: readonly Tooth[],
    marks: readonly PlacedMark[],
  ) => void;
  /** `orderSeed`: a blinded reading. */
  readonly startReading: (jaw: Jaw, observer: string, orderSeed?: number) => void;
  readonly setActiveReading: (jaw: Jaw, index: number) => void;
  // chart
  readonly setPresence: (jaw: Jaw, tooth: Tooth, presence: ToothPresence) => void;
  readonly setMissing: (jaw: Jaw, tooth: Tooth, missing: boolean) => void;
  readonly setUnerupted: (jaw: Jaw, tooth: Tooth, unerupted: boolean) => void;
  readonly setEnteredWidth: (
    jaw: Jaw,
    tooth: Tooth,
    width: { readonly widthMm: number; readonly sdMm: number } | null,
  ) => void;
  // measuring and planning
  readonly setForm: (jaw: Jaw, form: ArchForm) => void;
  readonly setPerimeter: (jaw: Jaw, perimeter: ArchRecord['perimeter']) => void;
  /** Segments, or the arch line in a form, as one step. */
  readonly setArchLength: (jaw: Jaw, perimeter: ArchRecord['perimeter'], form: ArchForm | null) => void;
  readonly setMarkSd: (jaw: Jaw, markSdMm: number) => void;
  readonly setPrediction: (jaw: Jaw, prediction: WidthPrediction | null) => void;
  readonly setAllowances: (jaw: Jaw, allowances: readonly Allowance[]) => void;
  readonly setPlanSettings: (jaw: Jaw, change: Partial<Omit<PlanSettings, 'contacts'>>) => void;
  /** Null: the sides are left as the shares leave them. */
  readonly setMidline: (jaw: Jaw, midline: MidlineWish | null) => void;
  /** Several contacts as one step of undo. */
  readonly setContacts: (
    jaw: Jaw,
    changes: readonly { readonly teeth: Contact; readonly change: Partial<Omit<ContactSettings, 'teeth'>> }[],
  ) => void;
  readonly setCourse: (jaw: Jaw, change: Partial<CourseSettings>) => void;
  readonly setContactSettings: (
    jaw: Jaw,
    teeth: Contact,
    change: Partial<Omit<ContactSettings, 'teeth'>>,
  ) => void;
  /** Own amount at one contact; the first one starts from the amounts of `plan`. */
  readonly setOwnTenth: (
    jaw: Jaw,
    plan: Pick<ReductionPlan, 'contacts'> | null,
    teeth: Contact,
    change: Partial<Omit<OwnAmount, 'teeth'>>,
  ) => void;
  readonly dropOwnTenths: (jaw: Jaw) => void;
  /** One change of an arch's visits, follow-up scans or closing (visits/visitEdits.ts); one step of undo. */
  readonly editVisits: (jaw: Jaw, change: (record: ArchRecord) => ArchRecord) => void;
  /** An earlier state of the same case put in place, as one step that can be undone. */
  readonly restoreCase: (document: CaseDocument) => void;
  // undo
  /** Changes until `endGesture` count as one step of undo (a drag, a held key). */
  readonly beginGesture: () => void;
  readonly endGesture: () => void;
  // ui
  readonly setActiveJaw: (jaw: Jaw) => void;
  readonly setUi: (change: Partial<UiState>) => void;
  /** Says a result to assistive technology. */
  readonly announce: (text: string) => void;
}

export interface ArchledgerState {
  readonly caseDocument: CaseDocument;
  readonly activeJaw: Jaw;
  readonly ui: UiState;
  readonly scans: Readonly<Record<string, LoadedScanOnPage>>; // by SHA-256
  readonly actions: Actions;
}

const FIRST_UI: UiState = {
  selectedSite: null,
  hoveredSite: null,
  selectedTooth: null,
  selectedContact: null,
  theme: 'system',
  loupeOn: true,
  clip: { on: false, offsetMm: 0 },
  markingFollowsOrder: true,
  marksShown: true,
  laterScan: null,
  revealEvidence: null,
  announcement: { text: '', count: 0 },
};

const NOTHING_SELECTED = {
  selectedSite: null,
  hoveredSite: null,
  selectedTooth: null,
  selectedContact: null,
  laterScan: null,
  revealEvidence: null,
} as const;

const MAX_UNDO_STEPS = 500;

const newCaseDocument = (): CaseDocument => emptyCase(crypto.randomUUID(), new Date().toISOString());

/** True between `beginGesture` and `endGesture`. */
let inGesture = false;

/**
 * One store: the case document (undone and redone, saved) beside what the page shows (neither).
 * Derived numbers are not here; see useArchAccount.
 */
export const useStore = create<ArchledgerState>()(
  temporal(
    (set, get) => {
      const edit = (change: (document: CaseDocument) => CaseDocument): void => {
        const before = get().caseDocument;
        const caseDocument = change(before);
        if (caseDocument === before) return;
        set({ caseDocument });
        if (inGesture) useStore.temporal.getState().pause();
      };
      const editArch = (jaw: Jaw, change: (record: ArchRecord) => ArchRecord): void =>
        edit((document) => {
          const record = document.arches[jaw];
          if (!record) return document;
          const next = change(record);
          return next === record ? document : { ...document, arches: { ...document.arches, [jaw]: next } };
        });
      const editMarks = (jaw: Jaw, change: (arch: ArchRecord) => ArchRecord): void =>
        editArch(jaw, (record) => withShownMarks(record, get().ui.laterScan, change));
      const setUi = (change: Partial<UiState>): void => set({ ui: { ...get().ui, ...change } });
      const replaceCase = (caseDocument: CaseDocument): void => {
        const { lower, upper } = caseDocument.arches;
        const activeJaw: Jaw = lower || !upper ? 'lower' : 'upper';
        // Nothing brings the scans of the case before back into view: undo begins anew.
        const named = scansNamed(caseDocument);
        const scans = Object.fromEntries(Object.entries(get().scans).filter(([id]) => named.includes(id)));
        set({ caseDocument, activeJaw, scans, ui: { ...get().ui, ...NOTHING_SELECTED } });
        useStore.temporal.getState().clear();
      };

      const actions: Actions = {
        newCase: () => replaceCase(newCaseDocument()),
        openCase: replaceCase,
        setTitle: (title) => edit((document) => ({ ...document, title })),
        setNotation: (notation) => edit((document) => ({ ...document, notation })),
        setRatioNorm: (ratioNorm) => edit((document) => ({ ...document, ratioNorm })),
        setTogether: (change) =>
          edit((document) => ({
            ...document,
            together: { ...(document.together ?? TOGETHER_DEFAULTS), ...change },
          })),
        setCutting: (cutting) => edit((document) => ({ ...document, cutting })),
        setCaliper: (caliper) =>
          edit(({ caliper: _before, ...document }) =>
            caliper.length === 0
              ? document
              : { ...document, caliper: [...caliper].sort((a, b) => a.tooth - b.tooth) },
          ),

        openScanInto: (jaw, { scan, frame, frameConfidence }) => {
          set({ scans: { ...get().scans, [scan.facts.sha256]: scan } });
          edit((document) => {
            const known = document.arches[jaw]?.scan;
            if (known?.sha256 === scan.facts.sha256 && known.unit === scan.facts.unit) return document;
            const record = newArchRecord({
              jaw,
              scan: scan.facts,
              medianEdgeMm: scan.shape.medianEdgeMm,
              frame,
              frameConfidence,
            });
            return { ...document, arches: { ...document.arches, [jaw]: record } };
          });
          set({ activeJaw: jaw });
          setUi(NOTHING_SELECTED);
        },
        attachScan: (scan) => set({ scans: { ...get().scans, [scan.facts.sha256]: scan } }),
        removeArch: (jaw) =>
          edit((document) => ({ ...document, arches: { ...document.arches, [jaw]: null } })),
        setFrame: (jaw, frame) =>
          editArch(jaw, (record) => ({ ...record, frame, frameSource: 'corrected', frameConfidence: null })),

        placeMark: (jaw, tooth, site, pointMm, sdMm) =>
          editMarks(jaw, (arch) => withMarkAt(arch, tooth, site, pointMm, sdMm)),
        moveMark: (jaw, tooth, site, pointMm, sdMm) =>
          editMarks(jaw, (arch) => withMarkAt(arch, tooth, site, pointMm, sdMm)),
        removeMark: (jaw, tooth, site) => editMarks(jaw, (arch) => withoutMark(arch, tooth, site)),
        confirmMark: (jaw, tooth, site) =>
          editMarks(jaw, (arch) => withConfirmed(arch, (mark) => mark.tooth === tooth && mark.site === site)),
        confirmMarks: (jaw, chosen) => editMarks(jaw, (arch) => withConfirmed(arch, chosen)),
        discardProposals: (jaw) => editArch(jaw, withoutProposals),
        proposeMarks: (jaw, marks) => editArch(jaw, (record) => withProposals(record, marks)),
        correctCrowns: (jaw, corrections, teeth, marks) =>
          editArch(jaw, (record) =>
            withCrownsCorrected(
              corrections.seeds.reduce((now, { tooth }) => presentIn(now, tooth), record),
              corrections,
              teeth,
              marks,
            ),
          ),
        startReading: (jaw, observer, orderSeed) =>
          editArch(jaw, (record) => {
            const repeat = record.readings.filter((reading) => reading.observer === observer).length + 1;
            const reading = {
              observer,
              repeat,
              marks: [],
              ...(orderSeed === undefined ? {} : { orderSeed }),
            };
            const readings = [...record.readings, reading];
            return { ...record, readings, activeReading: readings.length - 1 };
          }),
        setActiveReading: (jaw, index) =>
          editArch(jaw, (record) =>
            record.readings[index] && index !== record.activeReading
              ? { ...record, activeReading: index }
              : record,
          ),

        setPresence: (jaw, tooth, presence) =>
          editArch(jaw, (record) => withPresence(record, tooth, presence)),
        setMissing: (jaw, tooth, missing) =>
          editArch(jaw, (record) => withPresence(record, tooth, missing ? 'missing' : 'present')),
        setUnerupted: (jaw, tooth, unerupted) =>
          editArch(jaw, (record) => withPresence(record, tooth, unerupted ? 'unerupted' : 'present')),
        setEnteredWidth: (jaw, tooth, width) =>
          editArch(jaw, (record) => withEnteredWidth(record, tooth, width)),

        setForm: (jaw, form) => editArch(jaw, (record) => ({ ...record, form })),
        setPerimeter: (jaw, perimeter) => editArch(jaw, (record) => ({ ...record, perimeter })),
        setArchLength: (jaw, perimeter, form) =>
          editArch(jaw, (record) => ({ ...record, perimeter, form: form ?? record.form })),
        setMarkSd: (jaw, markSdMm) => editArch(jaw, (record) => ({ ...record, markSdMm })),
        setPrediction: (jaw, prediction) => editArch(jaw, (record) => ({ ...record, prediction })),
        setAllowances: (jaw, allowances) => editArch(jaw, (record) => ({ ...record, allowances })),
        setPlanSettings: (jaw, change) =>
          editArch(jaw, (record) => ({ ...record, plan: { ...record.plan, ...change } })),
        setMidline: (jaw, midline) =>
          editArch(jaw, ({ plan: { midline: _before, ...plan }, ...record }) => ({
            ...record,
            plan: midline ? { ...plan, midline } : plan,
          })),
        setContacts: (jaw, changes) => editArch(jaw, (record) => withContactsChanged(record, changes)),
        setCourse: (jaw, change) =>
          editArch(jaw, (record) => ({
            ...record,
            course: { ...COURSE_DEFAULTS, ...record.course, ...change },
          })),
        setContactSettings: (jaw, teeth, change) =>
          editArch(jaw, (record) => withContactSettings(record, teeth, change)),
        setOwnTenth: (jaw, plan, teeth, change) =>
          editArch(jaw, (record) => withOwnTenth(record, plan, teeth, change)),
        dropOwnTenths: (jaw) => editArch(jaw, withoutOwnTenths),

        editVisits: editArch,
        restoreCase: (document) => edit((now) => (now.id === document.id ? document : now)),

        beginGesture: () => {
          inGesture = true;
        },
        endGesture: () => {
          inGesture = false;
          useStore.temporal.getState().resume();
        },

        setActiveJaw: (activeJaw) => {
          if (activeJaw === get().activeJaw) return;
          set({ activeJaw });
          setUi(NOTHING_SELECTED);
        },
        setUi,
        announce: (text) => setUi({ announcement: { text, count: get().ui.announcement.count + 1 } }),
      };

      return { caseDocument: newCaseDocument(), activeJaw: 'lower', ui: FIRST_UI, scans: {}, actions };
    },
    {
      partialize: (state) => ({ caseDocument: state.caseDocument }),
      equality: (past, current) => past.caseDocument === current.caseDocument,
      limit: MAX_UNDO_STEPS,
    },
  ),
);

/** The actions; they never change, so reading them renders nothing again. */
export const actions = (): Actions => useStore.getState().actions;

/** Record of a jaw, or null while no scan was opened for it. */
export const useArch = (jaw: Jaw): ArchRecord | null => useStore((state) => state.caseDocument.arches[jaw]);

/** The scan of a jaw on the page, or null while it is not loaded. */
export const useScanOf = (jaw: Jaw): LoadedScanOnPage | null =>
  useStore((state) => {
    const record = state.caseDocument.arches[jaw];
    return record ? (state.scans[record.scan.sha256] ?? null) : null;
  });

export const undo = (): void => useStore.temporal.getState().undo();
export const redo = (): void => useStore.temporal.getState().redo();
