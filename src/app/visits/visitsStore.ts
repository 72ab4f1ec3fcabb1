import { create } from 'zustand';
import type { Jaw } from '../../core/base/tooth.ts';

/** Which dialog of the visits is open, and for what; never saved. */
export type VisitDialog =
  | { readonly kind: 'record'; readonly jaw: Jaw; readonly visit: number }
  | { readonly kind: 'follow-up'; readonly jaw: Jaw; readonly file: File }
  | { readonly kind: 'sheet'; readonly jaw: Jaw; readonly visit: number }
  | { readonly kind: 'override'; readonly jaw: Jaw }
  | { readonly kind: 'operator' }
  | { readonly kind: 'versions' };

export const useVisitDialog = create<{ readonly open: VisitDialog | null }>()(() => ({ open: null }));

export const showVisitDialog = (open: VisitDialog | null): void => useVisitDialog.setState({ open });
