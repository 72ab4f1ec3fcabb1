import { useState } from 'react';
import type { LengthUnit } from '../../core/scan/ScanMesh.ts';
import { UNIT_NAMES } from '../../core/scan/unitCheck.ts';
import { DialogSheet, SelectField, TextButton } from '../design/controls.tsx';
import { LessonsDialog } from '../lessons/LessonsDialog.tsx';
import { PrintDialog } from '../print/PrintDialog.tsx';
import { AboutDialog } from '../topbar/AboutDialog.tsx';
import { ReadingsDialog } from '../topbar/ReadingsDialog.tsx';
import { ShortcutsDialog } from '../topbar/ShortcutsDialog.tsx';
import { VisitDialogs } from '../visits/VisitDialogs.tsx';
import { CasesDialog } from './CasesDialog.tsx';
import { setFiles, useFiles } from './fileStore.ts';
import { JawDialog } from './JawDialog.tsx';
import { KnownCaseDialog } from './KnownCaseDialog.tsx';
import { SamplesDialog } from './SamplesDialog.tsx';
import { TablesDialog } from './TablesDialog.tsx';

/** Every dialog of the page. */
export function FileDialogs() {
  return (
    <>
      <JawDialog />
      <RefusalDialog />
      <SamplesDialog />
      <CasesDialog />
      <KnownCaseDialog />
      <ShortcutsDialog />
      <AboutDialog />
      <ReadingsDialog />
      <TablesDialog />
      <LessonsDialog />
      <PrintDialog />
      <VisitDialogs />
    </>
  );
}

const UNITS = Object.keys(UNIT_NAMES) as readonly LengthUnit[];

/** "parseStl: file ends early; got 12, need 20. Export again." → what, got and need, what to do. */
function partsOf(message: string): { readonly what: string; readonly todo: string } {
  const text = message.replace(/^[\w.]+: /, '');
  const at = text.search(/(?<=[a-z\d)”"'%…]\.) (?=[A-Z])/);
  const sentence = at < 0 ? text : text.slice(0, at);
  return {
    // A path of fields keeps its spelling.
    what: /^[\w[\]]+\./.test(sentence)
      ? `Field ${sentence}`
      : sentence.charAt(0).toUpperCase() + sentence.slice(1),
    todo: at < 0 ? '' : text.slice(at + 1),
  };
}

/** What was refused, why, and what to do; a scan in another unit can be read again in it. */
function RefusalDialog() {
  const refused = useFiles((state) => state.refused);
  const close = (): void => setFiles({ refused: null });
  const parts = refused ? partsOf(refused.refusal.message) : null;
  return (
    <DialogSheet title={refused?.title ?? ''} open={refused !== null} onClose={close} role="alertdialog">
      {refused && parts && (
        <>
          <div>
            <p>{parts.what}</p>
            {parts.todo && (
              <p>
                <b>{parts.todo}</b>
              </p>
            )}
            <p className="soft">The case at hand is as it was. ({refused.refusal.code})</p>
          </div>
          {refused.inUnit ? (
            <UnitChoice {...refused.inUnit} onClose={close} />
          ) : (
            <div className="dialog__actions">
              <TextButton tone="strong" onPress={close} autoFocus>
                Close
              </TextButton>
            </div>
          )}
        </>
      )}
    </DialogSheet>
  );
}

function UnitChoice({
  likely,
  again,
  onClose,
}: {
  likely: LengthUnit | null;
  again: (unit: LengthUnit) => void;
  onClose: () => void;
}) {
  const [unit, setUnit] = useState<LengthUnit>(likely ?? 'cm');
  return (
    <>
      <SelectField
        label="The numbers in the file are"
        choices={UNITS.map((id) => ({
          id,
          label: UNIT_NAMES[id],
          note: id === likely ? 'likely, by the size of the scan' : undefined,
        }))}
        value={unit}
        onChange={setUnit}
      />
      <div className="dialog__actions">
        <TextButton tone="plain" onPress={onClose}>
          Do not open
        </TextButton>
        <TextButton
          tone="strong"
          onPress={() => {
            onClose();
            again(unit);
          }}
        >
          Convert from {UNIT_NAMES[unit]} and open
        </TextButton>
      </div>
    </>
  );
}
