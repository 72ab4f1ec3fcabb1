import { useState } from 'react';
import { Checkbox } from 'react-aria-components';
import type { Jaw } from '../../core/base/tooth.ts';
import { visitsHeld } from '../../core/visits/CutEntry.ts';
import { DialogSheet, NumberInput, Segments, TextButton, TextInput } from '../design/controls.tsx';
import { jawName } from '../format.ts';
import { useStore } from '../store.ts';
import { showDialog, useDialog } from '../topbar/dialogStore.ts';
import { printSheets, type SheetKind } from './printStore.ts';

const SHEETS: readonly { readonly id: SheetKind; readonly label: string; readonly note: string }[] = [
  { id: 'plan', label: 'Account and plan', note: 'the measures, the space account and the reduction plan' },
  { id: 'visit', label: 'Visit sheet', note: 'one page to work from at the chair' },
  {
    id: 'report',
    label: 'Report',
    note: 'everything: account, plan, visits, follow-up scans, balance, methods, sources, uncertainty',
  },
];

/** Which sheets to print; also the way to a PDF. */
export function PrintDialog() {
  const open = useDialog((state) => state.open === 'print');
  return open ? <Choice /> : null;
}

function Choice() {
  const active = useStore((state) => state.activeJaw);
  const arches = useStore((state) => state.caseDocument.arches);
  const [sheets, setSheets] = useState<readonly SheetKind[]>(['plan']);
  const [jaw, setJaw] = useState<Jaw>(active);
  const [visit, setVisit] = useState(() => visitsHeld(arches[active]?.visits ?? []) + 1);
  const [name, setName] = useState('');
  const close = (): void => showDialog(null);
  const toggle = (id: SheetKind, on: boolean): void =>
    setSheets((now) => SHEETS.map((sheet) => sheet.id).filter((s) => (s === id ? on : now.includes(s))));
  return (
    <DialogSheet title="Print" open onClose={close}>
      <div className="printing">
        {SHEETS.map((sheet) => (
          <Checkbox
            key={sheet.id}
            className="checked printing__sheet"
            isSelected={sheets.includes(sheet.id)}
            onChange={(on) => toggle(sheet.id, on)}
          >
            <span className="checked__box" aria-hidden="true" />
            <span>
              {sheet.label}
              <small>{sheet.note}</small>
            </span>
          </Checkbox>
        ))}
      </div>
      {sheets.includes('visit') && (
        <div className="settings">
          <div className="field">
            <span className="field__label">Arch of the visit sheet</span>
            <Segments<Jaw>
              label="Arch of the visit sheet"
              value={jaw}
              onChange={setJaw}
              choices={(['upper', 'lower'] as const).map((id) => ({
                id,
                label: jawName(id),
                disabled: arches[id] === null,
              }))}
            />
          </div>
          <NumberInput
            label="Visit"
            unit=""
            digits={0}
            step={1}
            min={1}
            max={60}
            value={visit}
            onChange={(value) => value && setVisit(value)}
          />
        </div>
      )}
      <TextInput
        label="Name or number on the print (none while empty; not kept)"
        value={name}
        onChange={setName}
      />
      <p className="sheet__note">
        A4 or Letter, legible in black and white. The browser also prints to a PDF.
      </p>
      <div className="dialog__actions">
        <TextButton tone="plain" onPress={close}>
          Cancel
        </TextButton>
        <TextButton
          tone="strong"
          isDisabled={sheets.length === 0}
          onPress={() => {
            close();
            // The dialog has to be gone from the page before it is laid out on paper.
            setTimeout(() => printSheets({ sheets, jaw, visit, name: name.trim() }), 0);
          }}
        >
          Print
        </TextButton>
      </div>
    </DialogSheet>
  );
}
