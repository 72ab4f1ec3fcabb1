import type { Jaw, Tooth } from '../../core/base/tooth.ts';
import type { LengthUnit } from '../../core/scan/ScanMesh.ts';

/** One case of a manifest, as its row says it. */
export interface BatchCase {
  readonly name: string; // file name of its results, unique in the manifest
  readonly line: number; // of the manifest
  readonly scan: string; // as written in the manifest
  readonly scanPath: string;
  readonly jaw: string; // as written
  /** What to measure; null where the row says no case, with the reason in `fault`. */
  readonly asked: CaseAsked | null;
  readonly fault: { readonly code: string; readonly message: string } | null;
}

export interface CaseAsked {
  readonly jaw: Jaw;
  readonly marksPath: string | null;
  readonly missing: readonly Tooth[];
  readonly primary: readonly Tooth[];
  readonly range: readonly Tooth[] | null;
  readonly unit: LengthUnit;
}
