import { flushSync } from 'react-dom';
import { create } from 'zustand';
import type { Jaw } from '../../core/base/tooth.ts';

export type SheetKind = 'plan' | 'visit' | 'report';

/** What the next print holds; the account and the plan unless something else was chosen. */
export interface PrintChoice {
  readonly sheets: readonly SheetKind[];
  readonly jaw: Jaw; // of the visit sheet
  readonly visit: number;
  /** Printed where it was typed for this print; never taken from anywhere else, never kept. */
  readonly name: string;
}

const USUAL: PrintChoice = { sheets: ['plan'], jaw: 'lower', visit: 1, name: '' };

export const usePrintChoice = create<PrintChoice>()(() => USUAL);

/** Prints the sheets chosen; afterwards printing means the usual sheets again. */
export function printSheets(choice: Partial<PrintChoice>): void {
  flushSync(() => usePrintChoice.setState({ ...USUAL, ...choice }));
  addEventListener('afterprint', () => usePrintChoice.setState(USUAL), { once: true });
  print();
}
