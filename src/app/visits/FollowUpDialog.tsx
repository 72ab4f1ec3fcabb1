import { useState } from 'react';
import type { Jaw } from '../../core/base/tooth.ts';
import { visitsHeld } from '../../core/visits/CutEntry.ts';
import { DialogSheet, NumberInput, TextButton } from '../design/controls.tsx';
import { bytes } from '../format.ts';
import { useStore } from '../store.ts';
import { DateInput } from './DateInput.tsx';
import { openFollowUp } from './followUpScan.ts';
import { showVisitDialog } from './visitsStore.ts';
import { today } from './visitWords.ts';

/** When the later scan was taken; then it is read and compared. */
export function FollowUpDialog({ jaw, file }: { jaw: Jaw; file: File }) {
  const visits = useStore((state) => state.caseDocument.arches[jaw]?.visits ?? NO_VISITS);
  const [date, setDate] = useState(today);
  const [afterVisit, setAfterVisit] = useState(() => visitsHeld(visits));
  const close = (): void => showVisitDialog(null);
  return (
    <DialogSheet title={`Follow-up scan of the ${jaw} arch`} open onClose={close}>
      <div>
        <p>
          <b>{file.name}</b> <span className="soft">{bytes(file.size)}</span>
        </p>
        <p className="soft">
          It is laid over the first scan of this case. A scan of another patient or of the other jaw is
          refused; nothing is changed then. The first scan stays as it is.
        </p>
      </div>
      <div className="settings">
        <DateInput label="Taken on" value={date} onChange={setDate} />
        <NumberInput
          label="After visit"
          unit=""
          digits={0}
          step={1}
          min={0}
          max={60}
          value={afterVisit}
          note="number of visits held before it was taken"
          onChange={(value) => value !== null && setAfterVisit(value)}
        />
      </div>
      <div className="dialog__actions">
        <TextButton tone="plain" onPress={close}>
          Cancel
        </TextButton>
        <TextButton
          tone="strong"
          isDisabled={!date}
          onPress={() => {
            close();
            void openFollowUp({ name: file.name, blob: file }, jaw, { date, afterVisit });
          }}
        >
          Read and compare
        </TextButton>
      </div>
    </DialogSheet>
  );
}

const NO_VISITS = [] as const;
