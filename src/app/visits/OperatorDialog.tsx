import { useCallback, useEffect, useState } from 'react';
import { cutSdMm, habitFromPrior } from '../../core/reduction/cuttingHabit.ts';
import { cuttingPrior } from '../../core/reduction/cuttingPriors.ts';
import {
  type OperatorCut,
  operatorCells,
  operatorRows,
  ownCutting,
} from '../../core/visits/operatorRecord.ts';
import { DialogSheet, TextButton } from '../design/controls.tsx';
import { download } from '../files/caseFiles.ts';
import { showRefusal } from '../files/openScan.ts';
import { dayAndTime, fixed, percent, signed } from '../format.ts';
import { setOwnCutting } from '../plan/ownCutting.ts';
import { csvText } from '../storage/csvText.ts';
import { actions } from '../store.ts';
import { beginOperatorRecord, cutsOnThisMachine, operatorSince, useOperatorCuts } from './operatorSince.ts';
import { showVisitDialog } from './visitsStore.ts';
import { INSTRUMENT_NAMES, PLACE_NAMES } from './visitWords.ts';

const PRIOR = cuttingPrior('rounded');

/** Planned against performed over the cases kept on this machine, and what that makes of the published habit. */
export function OperatorDialog() {
  const [cuts, setCuts] = useState<readonly OperatorCut[] | null>(null);
  const [asking, setAsking] = useState(false);
  const close = (): void => showVisitDialog(null);
  const refresh = useCallback((): void => {
    cutsOnThisMachine().then(
      (found) => {
        setCuts(found);
        useOperatorCuts.setState({ cuts: found });
        if (PRIOR) setOwnCutting(ownCutting(found, PRIOR));
      },
      (error: unknown) => showRefusal(error, 'The cases could not be read'),
    );
  }, []);
  useEffect(refresh, [refresh]);
  const cells = operatorCells(cuts ?? []);
  const own = cuts && PRIOR ? ownCutting(cuts, PRIOR) : null;
  const since = operatorSince();
  return (
    <DialogSheet title="How this hand cuts" open onClose={close} wide>
      <p className="soft">
        Planned against performed at every contact of the cases kept in this browser, by the follow-up scan
        where there is one, else by gauge or caliper. What was only felt is left out. Nothing of it leaves
        this computer.
        {since && ` Begun anew on ${dayAndTime(new Date(since))}.`}
      </p>
      {cuts === null && <p aria-busy="true">Reading the cases…</p>}
      {cuts !== null && cells.length === 0 && <p>No measured cuts on record yet.</p>}
      {cells.length > 0 && (
        <table className="grid num">
          <thead>
            <tr>
              <th scope="col">Instrument</th>
              <th scope="col">region</th>
              <th scope="col">contacts</th>
              <th scope="col">planned, mm</th>
              <th scope="col">performed, mm</th>
              <th scope="col">of the plan</th>
              <th scope="col">bias a contact</th>
              <th scope="col">SD</th>
            </tr>
          </thead>
          <tbody>
            {cells.map((cell) => (
              <tr key={`${cell.instrument}-${cell.place}`}>
                <th scope="row">
                  {cell.instrument === 'all' ? <b>All</b> : INSTRUMENT_NAMES[cell.instrument]}
                </th>
                <td>{PLACE_NAMES[cell.place]}</td>
                <td>{cell.count}</td>
                <td>{fixed(cell.plannedMm)}</td>
                <td>{fixed(cell.performedMm)}</td>
                <td>{percent(cell.ratio)}</td>
                <td>{signed(cell.biasMm)}</td>
                <td>{cell.sdMm === null ? '–' : fixed(cell.sdMm)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {own && PRIOR && (
        <p>
          For forecasts: {percent(own.habit.lower.ratio)} of the plan in a lower and{' '}
          {percent(own.habit.upper.ratio)} in an upper arch, SD {fixed(cutSdMm(own.habit.lower, 0.3))}&nbsp;mm
          at a cut of 0.3 mm. Published studies, rounded, before any cut of yours:{' '}
          {percent(habitFromPrior(PRIOR, 'lower').ratio)}. Each cut on record moves the one toward the other.
        </p>
      )}
      <div className="dialog__actions">
        {asking ? (
          <>
            <span>Cuts recorded until now will no longer count. The cases stay.</span>
            <TextButton onPress={() => setAsking(false)}>Keep</TextButton>
            <TextButton
              tone="strong"
              onPress={() => {
                beginOperatorRecord();
                setAsking(false);
                refresh();
                actions().announce('The record of cuts is begun anew.');
              }}
            >
              Begin anew
            </TextButton>
          </>
        ) : (
          <TextButton tone="plain" isDisabled={cells.length === 0} onPress={() => setAsking(true)}>
            Clear…
          </TextButton>
        )}
        <TextButton isDisabled={!cuts?.length} onPress={() => cuts && saveCsv(cuts)}>
          Save as CSV
        </TextButton>
        <TextButton isDisabled={!cuts?.length} onPress={() => cuts && saveJson(cuts)}>
          Save as JSON
        </TextButton>
        <TextButton tone="strong" onPress={close}>
          Close
        </TextButton>
      </div>
    </DialogSheet>
  );
}

function saveCsv(cuts: readonly OperatorCut[]): void {
  download('operator-record.csv', csvText(operatorRows(cuts)), 'text/csv;charset=utf-8');
}

const saveJson = (cuts: readonly OperatorCut[]): void =>
  download(
    'operator-record.json',
    `${JSON.stringify({ schema: 'archledger/operator-record@1', cells: operatorCells(cuts), cuts }, null, 2)}\n`,
    'application/json',
  );
