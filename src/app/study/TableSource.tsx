import { useMemo } from 'react';
import { tableText } from '../../core/study/readTable.ts';
import { SelectField, TextButton } from '../design/controls.tsx';
import { count } from '../format.ts';
import { actions } from '../store.ts';
import { chooseFile } from '../topbar/fileChoosers.ts';
import { orWhy, tableOf } from './studyData.ts';
import { setTable, type TableUnit, useStudy } from './studyStore.ts';

const DELIMITER_NAMES: Readonly<Record<string, string>> = {
  ',': 'comma',
  ';': 'semicolon',
  '\t': 'tab',
  '|': 'bar',
  ' ': 'space',
};
const AUTO = 'auto';
const NONE = ' none';
/** Names of columns that number rows or people. */
const NO_MEASUREMENT = /^(id|no\.?|nr\.?|n|row|line|tooth|subject|patient|case|repeat|replicate)$/i;
const UNITS: readonly { readonly id: TableUnit; readonly label: string }[] = [
  { id: 'mm', label: 'mm' },
  { id: 'cm', label: 'cm, shown in mm' },
  { id: 'um', label: 'µm, shown in mm' },
  { id: 'in', label: 'inches, shown in mm' },
  { id: 'other', label: 'other, as it stands' },
];

/** A CSV file, and which of its columns are compared. */
export function TableSource() {
  const table = useStudy((state) => state.table);
  const read = useMemo(() => orWhy(() => tableOf(table)), [table]);
  const columns = 'ok' in read && read.ok ? read.ok.columns : [];
  const choices = [...new Set(columns)].filter(Boolean).map((name) => ({ id: name, label: name }));
  return (
    <>
      <h2>Table</h2>
      <p className="soft">
        Any CSV with one row a tooth: one column for each method, and, where wanted, one that says the group
        (tooth, arch, observer). The first line names the columns; an empty cell is a missing value.
      </p>
      <div className="study__row">
        <TextButton tone="strong" onPress={() => chooseFile('.csv,.tsv,.txt,text/csv,text/plain', open)}>
          Open a table…
        </TextButton>
        {table.text !== null && <span className="study__file">{table.fileName}</span>}
      </div>
      {'why' in read && (
        <p className="study__why" role="alert">
          {read.why}
        </p>
      )}
      {'ok' in read && read.ok && (
        <>
          <p className="num">
            {count(read.ok.rows.length)} rows, {columns.length} columns, parted by{' '}
            {DELIMITER_NAMES[read.ok.delimiter] ?? read.ok.delimiter}.
          </p>
          <div className="study__fields">
            <SelectField
              label="First column"
              choices={choices}
              value={table.first || null}
              onChange={(first) => setTable({ first })}
            />
            <SelectField
              label="Second column"
              choices={choices}
              value={table.second || null}
              onChange={(second) => setTable({ second })}
            />
            <SelectField
              label="Groups"
              choices={[{ id: NONE, label: 'none' }, ...choices]}
              value={table.by || NONE}
              onChange={(by) => setTable({ by: by === NONE ? '' : by })}
            />
            <SelectField
              label="Unit of both columns"
              choices={UNITS}
              value={table.unit}
              onChange={(unit) => setTable({ unit })}
            />
            <SelectField
              label="Columns parted by"
              choices={[
                { id: AUTO, label: 'as found' },
                ...Object.entries(DELIMITER_NAMES).map(([id, label]) => ({ id, label })),
              ]}
              value={table.delimiter ?? AUTO}
              onChange={(id) => setTable({ delimiter: id === AUTO ? null : id })}
            />
            <SelectField
              label="Decimal mark"
              choices={[
                { id: AUTO, label: 'as found' },
                { id: '.', label: 'point' },
                { id: ',', label: 'comma' },
              ]}
              value={table.decimal ?? AUTO}
              onChange={(id) => setTable({ decimal: id === AUTO ? null : (id as '.' | ',') })}
            />
          </div>
        </>
      )}
    </>
  );
}

/** Takes a file; the first two columns that hold numbers are chosen to begin with. */
async function open(file: File): Promise<void> {
  const bytes = new Uint8Array(await file.arrayBuffer());
  const text = orWhy(() => tableText(bytes));
  if ('why' in text) {
    setTable({ fileName: file.name, text: '', first: '', second: '', by: '' });
    actions().announce(text.why);
    return;
  }
  const base = { fileName: file.name, text: text.ok, delimiter: null, decimal: null } as const;
  const read = orWhy(() => tableOf({ ...useStudy.getState().table, ...base }));
  const table = 'ok' in read ? read.ok : null;
  const isNumeric = (column: number): boolean => {
    const cells = (table?.rows ?? [])
      .slice(0, 200)
      .map(({ cells }) => cells[column].trim())
      .filter(Boolean);
    return (
      cells.length > 0 &&
      cells.filter((cell) => /^[+\-−]?[\d.,]+(e[+-]?\d+)?$/i.test(cell)).length > cells.length / 2
    );
  };
  const numeric = (table?.columns ?? []).filter(
    (name, i) => name && isNumeric(i) && !NO_MEASUREMENT.test(name),
  );
  setTable({ ...base, first: numeric[0] ?? '', second: numeric[1] ?? '', by: '' });
  actions().announce(table ? `Table read: ${table.rows.length} rows.` : 'The table cannot be read.');
}
