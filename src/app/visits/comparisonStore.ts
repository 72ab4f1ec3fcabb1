import { create } from 'zustand';
import type { ScanComparison } from '../../core/compare/compareScans.ts';

/** Comparisons made in this session, by the SHA-256 of the later scan: what is drawn of them is never saved. */
const useComparisons = create<{ readonly found: Readonly<Record<string, ScanComparison>> }>()(() => ({
  found: {},
}));

export const setComparison = (laterSha256: string, comparison: ScanComparison): void =>
  useComparisons.setState(({ found }) => ({ found: { ...found, [laterSha256]: comparison } }));

/** The comparison with a later scan, or null until it is made (again) in this session. */
export const useComparison = (laterSha256: string | null): ScanComparison | null =>
  useComparisons(({ found }) => (laterSha256 === null ? null : (found[laterSha256] ?? null)));

/** Lets go of comparisons with other scans than these. */
export const keepComparisons = (laterSha256s: readonly string[]): void =>
  useComparisons.setState(({ found }) => ({
    found: Object.fromEntries(Object.entries(found).filter(([sha256]) => laterSha256s.includes(sha256))),
  }));
