import { useMemo, useState } from 'react';
import { archOrder, positionOf } from '../../core/base/tooth.ts';
import { tableText } from '../../core/study/readTable.ts';
import { type Choice, SelectField, TextButton } from '../design/controls.tsx';
import { download } from '../files/caseFiles.ts';
import { count } from '../format.ts';
import { csvText } from '../storage/csvText.ts';
import { actions } from '../store.ts';
import { chooseFile } from '../topbar/fileChoosers.ts';
import { LeftOut } from './LeftOut.tsx';
import { orWhy, tableOf } from './studyData.ts';
import { BY_KIND, FIRST_TABLE, isTableKept, setTable, type TableUnit, useStudy } from './studyStore.ts';
import { comparedColumns, firstChoice } from './tableColumns.ts';

const DELIMITER_NAMES: Readonly<Record<string, string>> = {
  ',': 'comma',
  ';': 'semicolon',
  '\t': 'tab',
  '|': 'bar',
  ' ': 'space',
};
const AUTO = 'auto';
const NONE = ' none';
const UNITS: readonly { readonly id: TableUnit; readonly label: string }[] = [
  { id: 'mm', label: 'mm' },
  { id: 'cm', label: 'cm, shown in mm' },
  { id: 'um', label: 'µm, shown in mm' },
  { id: 'in', label: 'inches, shown in mm' },
  { id: 'other', label: 'other, as it stands' },
];

/** A table from a file or a spreadsheet, and which of its columns are compared. */
export function TableSource() {
  const table = useStudy((state) => state.table);
  const [pasting, setPasting] = useState(false);
  const read = useMemo(() => orWhy(() => tableOf(table)), [table]);
  return (
    <>
      <h2>Table</h2>
      <p className="soft">
        One row a tooth, one column for each observer or method; a column of tooth numbers (ISO 3950) or of
        groups where there is one. The first line names the columns; an empty cell is a missing value.
      </p>
      <div className="study__row">
        <TextButton tone="strong" onPress={() => chooseFile('.csv,.tsv,.txt,text/csv,text/plain', open)}>
          Open a table…
        </TextButton>
        <TextButton aria-expanded={pasting} onPress={() => setPasting(!pasting)}>
          Paste a table…
        </TextButton>
        <TextButton tone="plain" onPress={saveBlank}>
          Blank table
        </TextButton>
      </div>
      {pasting && <PasteTable onTaken={() => setPasting(false)} />}
      {table.text !== null && (
        <p className="study__file">
          {table.fileName}
          {!isTableKept(table) && <span className="soft"> (too long to be kept over a reload)</span>}
        </p>
      )}
      {'why' in read && (
        <p className="study__why" role="alert">
          {read.why}
        </p>
      )}
      {'ok' in read && read.ok && (
        <>
          <p className="num study__wrap">
            {count(read.ok.rows.length)} rows, {read.ok.columns.length} columns, parted by{' '}
            {DELIMITER_NAMES[read.ok.delimiter] ?? read.ok.delimiter}.
          </p>
          <Columns />
        </>
      )}
    </>
  );
}

function Columns() {
  const table = useStudy((state) => state.table);
  const read = useMemo(() => tableOf(table), [table]);
  if (!read) return null;
  const choices = [...new Set(read.columns)].filter(Boolean).map((name) => ({ id: name, label: name }));
  const orNone: readonly Choice<string>[] = [{ id: NONE, label: 'none' }, ...choices];
  const compared = comparedColumns(read, table);
  const pick = (key: 'first' | 'second', label: string) => (
    <SelectField
      label={label}
      choices={choices}
      value={table[key] || null}
      onChange={(name) => setTable({ [key]: name })}
    />
  );
  const pickOrNone = (key: 'sdFirst' | 'sdSecond', label: string) => (
    <SelectField
      label={label}
      choices={orNone}
      value={table[key] || NONE}
      onChange={(name) => setTable({ [key]: name === NONE ? '' : name })}
    />
  );
  return (
    <>
      <div className="study__fields">
        {pick('first', 'First column')}
        {pick('second', 'Second column')}
        <SelectField
          label="Tooth numbers"
          choices={orNone}
          value={table.tooth || NONE}
          onChange={(name) => {
            const tooth = name === NONE ? '' : name;
            setTable({ tooth, ...(table.by === BY_KIND && !tooth ? { by: '' } : {}) });
          }}
        />
        <SelectField
          label="Groups"
          choices={[
            { id: NONE, label: 'none' },
            ...(table.tooth ? [{ id: BY_KIND, label: 'kind of tooth' }] : []),
            ...choices,
          ]}
          value={table.by || NONE}
          onChange={(by) => setTable({ by: by === NONE ? '' : by })}
        />
        <SelectField
          label="Unit of the columns"
          choices={UNITS}
          value={table.unit}
          onChange={(unit) => setTable({ unit })}
        />
      </div>
      {compared.length > 2 && (
        <LeftOut
          label="Columns compared all together"
          choices={compared.map((name) => ({ id: name, label: name }))}
          leftOut={table.leftOut}
          onChange={(leftOut) => setTable({ leftOut })}
        />
      )}
      <details className="study__conventions">
        <summary>How the file is read; SD of each value</summary>
        <div className="study__fields">
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
          {pickOrNone('sdFirst', 'SD of the first column’s values')}
          {pickOrNone('sdSecond', 'SD of the second column’s values')}
        </div>
        <p className="sheet__note">
          Where both methods say an SD for each value, York’s line takes each of them into account.
        </p>
      </details>
    </>
  );
}

function PasteTable({ onTaken }: { onTaken: () => void }) {
  const [text, setText] = useState('');
  return (
    <div className="field">
      <label className="field__label" htmlFor="study-paste">
        Cells copied from a spreadsheet, with their heading line
      </label>
      <textarea
        id="study-paste"
        className="study__paste"
        rows={5}
        // biome-ignore lint/a11y/noAutofocus: it opens because the user asked to paste into it.
        autoFocus
        value={text}
        onChange={(event) => setText(event.target.value)}
        placeholder={'tooth\tobserver 1\tobserver 2\n41\t5.4\t5.5'}
      />
      <div className="study__row">
        <TextButton
          isDisabled={text.trim() === ''}
          onPress={() => {
            take('pasted table', text);
            onTaken();
          }}
        >
          Take the table
        </TextButton>
      </div>
    </div>
  );
}

/** Takes a file; its columns are guessed from their values and names to begin with. */
async function open(file: File): Promise<void> {
  const bytes = new Uint8Array(await file.arrayBuffer());
  const text = orWhy(() => tableText(bytes));
  if ('why' in text) {
    setTable({ ...FIRST_TABLE, fileName: file.name, text: '' });
    actions().announce(text.why);
    return;
  }
  take(file.name, text.ok);
}

function take(fileName: string, text: string): void {
  const base = { ...FIRST_TABLE, fileName, text, unit: useStudy.getState().table.unit };
  const read = orWhy(() => tableOf(base));
  const table = 'ok' in read ? read.ok : null;
  setTable({ ...base, ...(table ? firstChoice(table) : {}) });
  actions().announce(table ? `Table read: ${table.rows.length} rows.` : 'The table cannot be read.');
}

/** A table to fill in: every tooth but the third molars, two columns. */
function saveBlank(): void {
  const rows = (['upper', 'lower'] as const)
    .flatMap((jaw) => archOrder(jaw))
    .filter((tooth) => positionOf(tooth) <= 7)
    .map((tooth) => [String(tooth), '', '']);
  const text = csvText({ header: ['tooth', 'observer 1', 'observer 2'], rows });
  download('archledger-study-blank.csv', text, 'text/csv;charset=utf-8');
  actions().announce('Blank table saved as CSV.');
}
