import type { Jaw } from '../../core/base/tooth.ts';
import {
  archTable,
  contactsTable,
  planTable,
  spaceTable,
  type Table,
  widthsTable,
} from '../../core/casefile/tables.ts';
import { archAccountOf, everyLineOf } from '../account/useArchAccount.ts';
import { plannedAmountsOf } from '../account/usePlannedAmounts.ts';
import { DialogSheet, TextButton } from '../design/controls.tsx';
import { jawName } from '../format.ts';
import { csvText } from '../storage/csvText.ts';
import { actions, useStore } from '../store.ts';
import { showDialog, useDialog } from '../topbar/dialogStore.ts';
import { download, fileStem } from './caseFiles.ts';

const JAWS: readonly Jaw[] = ['upper', 'lower'];

const TABLE_WORDS: Readonly<Record<Table['name'], string>> = {
  widths: 'Widths',
  contacts: 'Contacts',
  arch: 'Arch measures',
  space: 'Space account',
  plan: 'Reduction plan',
};

/** Tables of one arch as they can be exported now; the plan only once there is one. */
function tablesOf(jaw: Jaw): readonly Table[] {
  const { arches, notation } = useStore.getState().caseDocument;
  const record = arches[jaw];
  const account = record && archAccountOf(record, arches[jaw === 'upper' ? 'lower' : 'upper']);
  if (!account) return [];
  const { measures, ledger } = account;
  const amounts = plannedAmountsOf(jaw);
  return [
    widthsTable(measures, notation),
    contactsTable(measures, notation),
    archTable({ ...measures, lines: everyLineOf(record) }),
    spaceTable(ledger, notation),
    ...(amounts ? [planTable(amounts.plan, amounts.limits, notation)] : []),
  ];
}

function save(jaw: Jaw, table: Table): void {
  download(`${fileStem()}-${jaw}-${table.name}.csv`, csvText(table), 'text/csv;charset=utf-8');
  actions().announce(`${TABLE_WORDS[table.name]} saved as CSV.`);
}

/** Each table of the case as a CSV file. */
export function TablesDialog() {
  const open = useDialog((state) => state.open === 'tables');
  const close = (): void => showDialog(null);
  const tables = open
    ? JAWS.map((jaw) => [jaw, tablesOf(jaw)] as const).filter(([, list]) => list.length > 0)
    : [];
  return (
    <DialogSheet title="Save tables as CSV" open={open} onClose={close}>
      {tables.length === 0 && <p>There is nothing to save yet: open a scan first.</p>}
      {tables.map(([jaw, list]) => (
        <table key={jaw} className="grid">
          <caption className="grid__caption">{jawName(jaw)}</caption>
          <tbody>
            {list.map((table) => (
              <tr key={table.name}>
                <th scope="row">{TABLE_WORDS[table.name]}</th>
                <td>{table.rows.length} rows</td>
                <td>
                  <TextButton
                    small
                    aria-label={`Save ${TABLE_WORDS[table.name].toLowerCase()}, ${jawName(jaw).toLowerCase()}`}
                    onPress={() => save(jaw, table)}
                  >
                    Save
                  </TextButton>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      ))}
      <div className="dialog__actions">
        <TextButton onPress={close}>Close</TextButton>
      </div>
    </DialogSheet>
  );
}
