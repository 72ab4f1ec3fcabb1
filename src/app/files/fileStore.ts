import { create } from 'zustand';
import type { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { CaseDocument } from '../../core/casefile/CaseDocument.ts';
import type { LengthUnit } from '../../core/scan/ScanMesh.ts';
import type { SaveState } from '../storage/autosave.ts';
import type { CaseSummary } from '../storage/caseStore.ts';

/** A case read from a file, and the one kept in this browser under the same id. */
export interface KnownCase {
  readonly fileName: string;
  readonly document: CaseDocument;
  readonly kept: CaseSummary;
}

/** A scan file waiting for its jaw to be named, being read, or refused; and the state of saving. */
export interface FileState {
  readonly waiting: { readonly file: File } | null;
  readonly reading: {
    readonly fileName: string;
    readonly jaw: Jaw;
    readonly stage: string;
    readonly ratio: number | null;
    readonly cancel: () => void;
  } | null;
  readonly refused: {
    readonly title: string;
    readonly refusal: Refusal;
    /** The same file again, read in another unit. */
    readonly inUnit: {
      readonly likely: LengthUnit | null;
      readonly again: (unit: LengthUnit) => void;
    } | null;
  } | null;
  readonly knownCase: KnownCase | null;
  /** What is doubtful about the frame found for the scan opened last. */
  readonly frameRemarks: readonly string[];
  readonly saving: SaveState | null; // null until storage answered, or where there is none
  readonly savedAt: Date | null;
  /** Scans the case names and nobody has: to be chosen again by the user. */
  readonly missingScans: readonly {
    readonly jaw: Jaw;
    readonly file: string;
    readonly isKept: boolean; // its bytes are at hand, but opening them went wrong
  }[];
  /** What was found amiss in this browser's storage, and what became of it. */
  readonly remarks: readonly string[];
  /** A fault of this program that nothing else told. */
  readonly fault: string | null;
  readonly replacing: boolean; // another case is about to take the place of the one at hand
  readonly starting: boolean; // the remembered case is being brought back
}

export const useFiles = create<FileState>()(() => ({
  waiting: null,
  reading: null,
  refused: null,
  knownCase: null,
  frameRemarks: [],
  saving: null,
  savedAt: null,
  missingScans: [],
  remarks: [],
  fault: null,
  replacing: false,
  starting: true,
}));

export const setFiles = (change: Partial<FileState>): void => useFiles.setState(change);

/** Adds a line to what was found amiss in this browser's storage. */
export const remark = (text: string): void =>
  useFiles.setState(({ remarks }) => ({ remarks: [...remarks, text] }));
