import Papa from 'papaparse';
import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchAccount } from '../../core/casefile/archAccount.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { archAccountOf } from '../account/useArchAccount.ts';
import { planOf } from '../account/usePlan.ts';
import { download, fileStem } from '../files/caseFiles.ts';
import { FORM_NAMES, STANDING_WORDS } from '../format.ts';
import { ledgerFigures } from '../ledger/AccountPanel.tsx';
import { archFigures } from '../ledger/ArchPanel.tsx';
import type { Figure } from '../ledger/FigureTable.tsx';
import { actions, useStore } from '../store.ts';

/** One line of the export; every table shares these columns so that one file holds them all. */
export interface CsvLine {
  readonly jaw: Jaw;
  readonly table: 'width' | 'contact' | 'arch' | 'account' | 'plan';
  readonly item: string; // tooth, contact or name of the entry; teeth in ISO 3950
  readonly quantity: string;
  readonly value: number | null;
  readonly sd: number | null;
  readonly unit: string;
  readonly source: string;
}

const rounded = (value: number | null): number | null =>
  value === null ? null : Math.round(value * 10_000) / 10_000;

/** Everything measured, accounted and planned for one arch, a line for each number. */
export function csvLines(
  record: ArchRecord,
  account: ArchAccount,
  plan: ReductionPlan | null,
  request: ReductionRequest | null,
): readonly CsvLine[] {
  const { jaw } = record;
  const line = (
    table: CsvLine['table'],
    item: string,
    quantity: string,
    value: number | null,
    sd: number | null,
    source: string,
    unit = 'mm',
  ): CsvLine => ({ jaw, table, item, quantity, value: rounded(value), sd: rounded(sd), unit, source });
  const figure =
    (table: CsvLine['table']) =>
    (f: Figure): CsvLine =>
      line(
        table,
        f.what,
        'amount',
        f.valueMm,
        f.sdMm,
        f.missing ? `missing: ${f.missing}` : `${STANDING_WORDS[f.source.standing]}: ${f.source.text}`,
      );
  const { measures, ledger } = account;
  return [
    ...measures.teeth.map((t) =>
      line('width', String(t.tooth), 'mesiodistal width', t.widthMm, t.sdMm, t.source),
    ),
    ...measures.contacts.flatMap((c) => [
      line(
        'contact',
        c.teeth.join('-'),
        'separation',
        c.separation?.valueMm ?? null,
        c.separation?.sdMm ?? null,
        '',
      ),
      line(
        'contact',
        c.teeth.join('-'),
        'displacement',
        c.displacement?.valueMm ?? null,
        c.displacement?.sdMm ?? null,
        '',
      ),
    ]),
    ...measures.lines.flatMap((l) => [
      line(
        'arch',
        `Arch line: ${FORM_NAMES[l.form]}`,
        'length',
        l.length.valueMm,
        l.length.sdMm,
        l.form === record.form ? 'in use' : '',
      ),
      line('arch', `Arch line: ${FORM_NAMES[l.form]}`, 'fit', l.fitRmsMm, null, 'root mean square'),
    ]),
    ...archFigures(record, measures).map(figure('arch')),
    ...ledgerFigures(ledger).map(figure('account')),
    line(
      'account',
      'Balance',
      'available − required',
      ledger.differenceMm,
      ledger.sdMm,
      ledger.missing.join('; '),
    ),
    ...(plan && request ? planLines(line, plan, request) : []),
  ];
}

function planLines(
  line: (
    table: CsvLine['table'],
    item: string,
    quantity: string,
    value: number | null,
    sd: number | null,
    source: string,
    unit?: string,
  ) => CsvLine,
  plan: ReductionPlan,
  request: ReductionRequest,
): readonly CsvLine[] {
  return [
    line('plan', 'all', 'needed', request.neededMm, request.neededSdMm, ''),
    line('plan', 'all', 'goal', plan.goalMm, null, ''),
    line('plan', 'all', 'commit', plan.commitMm, null, ''),
    line('plan', 'all', 'planned', plan.plannedMm, null, plan.status),
    line('plan', 'all', 'held back', plan.heldBackMm, null, ''),
    line('plan', 'all', 'short', plan.shortMm, null, ''),
    line('plan', 'all', 'chance of a gap', plan.forecast.chanceGap, null, '', '1'),
    line('plan', 'all', 'chance of jamming', plan.forecast.chanceJam, null, '', '1'),
    ...plan.contacts.flatMap((contact) => {
      const item = contact.teeth.join('-');
      return [
        line('plan', item, 'total', contact.totalMm, null, ''),
        line('plan', item, 'held back', contact.heldBackMm, null, ''),
        ...contact.teeth.map((tooth, i) =>
          line('plan', item, `surface of ${tooth}`, contact.surfacesMm[i], null, ''),
        ),
        ...contact.byVisitMm.map((amount, i) => line('plan', item, `visit ${i + 1}`, amount, null, '')),
      ];
    }),
  ];
}

const JAWS: readonly Jaw[] = ['upper', 'lower'];

/** Saves every table of the case as one CSV file. */
export function saveTables(): void {
  const { arches } = useStore.getState().caseDocument;
  const lines = JAWS.flatMap((jaw) => {
    const record = arches[jaw];
    const account = record && archAccountOf(record, arches[jaw === 'upper' ? 'lower' : 'upper']);
    if (!record || !account) return [];
    const { plan, request } = planOf(jaw);
    return csvLines(record, account, account.asked ? plan : null, request);
  });
  if (lines.length === 0) {
    actions().announce('There is nothing to save yet: open a scan first.');
    return;
  }
  // The mark at the front tells spreadsheets that the text is UTF-8; formulas in typed text stay text.
  const text = `\uFEFF${Papa.unparse([...lines], { escapeFormulae: true, newline: '\r\n' })}\r\n`;
  download(`${fileStem()}.csv`, text, 'text/csv;charset=utf-8');
  actions().announce('Tables saved as CSV.');
}
