import { create } from 'zustand';
import type { Jaw } from '../../core/base/tooth.ts';
import { archAccountOf } from '../account/useArchAccount.ts';
import { signed } from '../format.ts';
import { actions, useStore } from '../store.ts';

const balanceOf = (jaw: Jaw): number | null => {
  const { arches } = useStore.getState().caseDocument;
  const record = arches[jaw];
  return record
    ? (archAccountOf(record, arches[jaw === 'upper' ? 'lower' : 'upper'])?.ledger.differenceMm ?? null)
    : null;
};

/** The last choice that was said to change a balance, with the balance before and after it. */
export interface BalanceChange {
  readonly jaw: Jaw;
  readonly what: string;
  readonly beforeMm: number;
  readonly afterMm: number;
}

export const useBalanceChange = create<{ readonly last: BalanceChange | null }>()(() => ({ last: null }));

/** Makes a change and says what it did to the balance: before, after and the difference. */
export function sayingBalance(jaw: Jaw, what: string, change: () => void): void {
  const before = balanceOf(jaw);
  change();
  const after = balanceOf(jaw);
  if (before === null || after === null) {
    actions().announce(
      after === null ? `${what}. The balance is not known.` : `${what}. Balance ${signed(after)} mm.`,
    );
    return;
  }
  useBalanceChange.setState({ last: { jaw, what, beforeMm: before, afterMm: after } });
  actions().announce(
    `${what}. Balance ${signed(before)} to ${signed(after)} mm, ${signed(after - before)} mm.`,
  );
}
