import { useState } from 'react';
import { repeatability } from '../../core/marks/repeatability.ts';
import { DialogSheet, SwitchField, TextButton, TextInput } from '../design/controls.tsx';
import { jawName, mm } from '../format.ts';
import { actions, useStore } from '../store.ts';
import { startReading } from '../study/blindedReading.ts';
import { setStudy } from '../study/studyStore.ts';
import { showDialog, useDialog } from './dialogStore.ts';

/** Readings of the arch at hand: who marked it how often, and how far the repeats scatter. */
export function ReadingsDialog() {
  return useDialog((state) => state.open === 'reading') ? <Readings /> : null;
}

function Readings() {
  const jaw = useStore((state) => state.activeJaw);
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  const last = record?.readings.at(-1);
  const [observer, setObserver] = useState(last?.observer ?? '');
  const [blinded, setBlinded] = useState((last?.marks.length ?? 0) > 0);
  const close = (): void => showDialog(null);
  const scatter = record ? repeatability(record.readings, record.frame) : null;
  return (
    <DialogSheet title={`Readings: ${jawName(jaw).toLowerCase()}`} open onClose={close}>
      <p className="soft">
        A reading is one observer’s one pass over the arch. A new reading starts without marks, so that it is
        not led by the one before; what is measured always comes from the reading in use.
      </p>
      {!record && <p>Open a scan of this arch first.</p>}
      {record && (
        <>
          <table className="grid">
            <thead>
              <tr>
                <th scope="col">Observer</th>
                <th scope="col">repeat</th>
                <th scope="col">marks</th>
                <th scope="col">
                  <span className="visually-hidden">actions</span>
                </th>
              </tr>
            </thead>
            <tbody>
              {record.readings.map((reading, i) => (
                <tr key={`${reading.observer}-${reading.repeat}-${i}`}>
                  <th scope="row">{reading.observer || 'not named'}</th>
                  <td>
                    {reading.repeat}
                    {reading.orderSeed !== undefined && ', blinded'}
                  </td>
                  <td>{reading.marks.length}</td>
                  <td>
                    {i === record.activeReading ? (
                      'in use'
                    ) : (
                      <TextButton small onPress={() => actions().setActiveReading(jaw, i)}>
                        Use
                      </TextButton>
                    )}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
          {scatter && (
            <p className="num">
              SD of one mark from repeats: <b>{mm(scatter.markSdMm, 3)}&nbsp;mm</b>,{' '}
              {scatter.degreesOfFreedom} degrees of freedom. In use: {mm(record.markSdMm, 3)}&nbsp;mm.{' '}
              <TextButton
                small
                isDisabled={!(scatter.markSdMm > 0)}
                onPress={() => actions().setMarkSd(jaw, scatter.markSdMm)}
              >
                Use it
              </TextButton>
            </p>
          )}
          <TextInput
            label="Observer of a new reading (may stay empty)"
            value={observer}
            onChange={setObserver}
          />
          <SwitchField on={blinded} onChange={setBlinded}>
            Blinded: teeth in an order of chance, nothing proposed, no width shown until it is finished
          </SwitchField>
        </>
      )}
      <div className="dialog__actions">
        {(record?.readings.length ?? 0) > 1 && (
          <TextButton
            tone="plain"
            onPress={() => {
              close();
              setStudy({ open: true, source: 'readings' });
            }}
          >
            Compare…
          </TextButton>
        )}
        <TextButton onPress={close}>Close</TextButton>
        {record && (
          <TextButton
            tone="strong"
            onPress={() => {
              startReading(jaw, observer.trim(), blinded);
              close();
            }}
          >
            Start a new reading
          </TextButton>
        )}
      </div>
    </DialogSheet>
  );
}
