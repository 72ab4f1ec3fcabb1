import { create } from 'zustand';
import type { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { LengthUnit } from '../../core/scan/ScanMesh.ts';

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
    readonly inUnit: { readonly likely: LengthUnit; readonly again: (unit: LengthUnit) => void } | null;
  } | null;
  readonly saving: {
    readonly state: 'idle' | 'saving' | 'saved' | 'failed';
    readonly message: string;
    readonly atIso: string | null;
  };
  readonly starting: boolean; // the remembered case is being brought back
}

export const useFiles = create<FileState>()(() => ({
  waiting: null,
  reading: null,
  refused: null,
  saving: { state: 'idle', message: '', atIso: null },
  starting: true,
}));

export const setFiles = (change: Partial<FileState>): void => useFiles.setState(change);
