import { toothLabel } from '../../core/base/tooth.ts';
import { length } from '../../core/base/Vec3.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { FollowUpAccount, VisitAccount } from '../../core/casefile/visitAccount.ts';
import type { FollowUpMeasure } from '../../core/visits/FollowUp.ts';
import { TextButton } from '../design/controls.tsx';
import { showDeviation } from '../followup/deviationStore.ts';
import { contactLabel, fixed, percent, signed } from '../format.ts';
import { useFollowUpOnShow } from '../state/onShow.ts';
import { actions, useStore } from '../store.ts';
import { Value } from './BalanceSection.tsx';
import { useComparison } from './comparisonStore.ts';
import { compareAgain } from './followUpScan.ts';
import { marksInWords } from './LaterScanBar.tsx';
import { leaveLaterScan, showLaterScan } from './laterScanView.ts';
import { withoutFollowUp } from './visitEdits.ts';
import { dayOf } from './visitWords.ts';

/** What each later scan shows beside the first one: contacts, teeth, and how well the two lie over each other. */
export function FollowUpSection({ record, account }: { record: ArchRecord; account: VisitAccount }) {
  if (account.followUps.length === 0) return null;
  return (
    <>
      {[...account.followUps].reverse().map((followUp) => (
        <OneFollowUp key={followUp.record.scan.sha256} record={record} followUp={followUp} />
      ))}
    </>
  );
}

function OneFollowUp({ record, followUp }: { record: ArchRecord; followUp: FollowUpAccount }) {
  const { scan, date, afterVisit, measure, marks } = followUp.record;
  const comparison = useComparison(scan.sha256);
  const isShown = useFollowUpOnShow(record.jaw)?.scan.sha256 === scan.sha256;
  const id = `follow-up-${scan.sha256.slice(0, 8)}`;
  return (
    <section className="sheet__section" aria-labelledby={id}>
      <div className="sheet__head">
        <h3 className="sheet__title" id={id}>
          Follow-up scan, {dayOf(date)}
        </h3>
        <span className="sheet__note">after visit {afterVisit}</span>
      </div>
      <p className="sheet__note">
        {scan.file}. {marksInWords(followUp.record)}.
      </p>
      {measure && (
        <>
          <RegistrationLine measure={measure} />
          <ContactChanges measure={measure} />
          <ToothChanges measure={measure} />
          <DoubtsKey measure={measure} />
        </>
      )}
      <div className="timeline__actions">
        {marks.length > 0 && (
          <TextButton
            small
            tone={marks.some((mark) => mark.state === 'proposed') ? 'strong' : 'normal'}
            onPress={() => (isShown ? leaveLaterScan() : void showLaterScan(record.jaw, scan.sha256))}
          >
            {isShown ? 'Back to the first scan' : 'Look at its marks'}
          </TextButton>
        )}
        {comparison && (
          <TextButton
            small
            onPress={() => {
              if (isShown) leaveLaterScan();
              showDeviation(record.jaw, scan.sha256);
            }}
          >
            Show in 3D
          </TextButton>
        )}
        <TextButton small onPress={() => void compareAgain(record.jaw, scan.sha256)}>
          {comparison ? 'Compare again' : 'Compare again, for the map'}
        </TextButton>
        <TextButton
          small
          tone="plain"
          onPress={() => {
            actions().editVisits(record.jaw, (before) => withoutFollowUp(before, scan.sha256));
            actions().announce('Follow-up scan removed; undo brings it back.');
          }}
        >
          Remove
        </TextButton>
      </div>
    </section>
  );
}

/** How well the two scans lie over each other, so that nobody has to believe the rest unseen. */
export function RegistrationLine({ measure }: { measure: FollowUpMeasure }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const { reference } = measure;
  return (
    <p className="sheet__note num registration">
      Laid over each other: distances left {fixed(measure.residualRmsMm)}&nbsp;mm (RMS) where nothing changed;{' '}
      {percent(measure.matchedRatio)} of the crowns found their like. Movements are told against{' '}
      {reference.kind === 'palate'
        ? 'the palate'
        : `the teeth that moved least: ${reference.teeth.map((tooth) => toothLabel(tooth, notation)).join(', ')}`}{' '}
      ({fixed(reference.rmsMm)}&nbsp;mm RMS).
    </p>
  );
}

export function ContactChanges({ measure }: { measure: FollowUpMeasure }) {
  const notation = useStore((state) => state.caseDocument.notation);
  return (
    <table className="grid num ledgered">
      <thead>
        <tr>
          <th scope="col">Contact</th>
          <th scope="col">enamel gone</th>
          <th scope="col">apart before</th>
          <th scope="col">apart now</th>
        </tr>
      </thead>
      <tbody>
        {measure.contacts.map((change) => (
          <tr key={change.teeth.join('-')} title={change.doubts.join(' ')}>
            <th scope="row">
              {contactLabel(change.teeth, notation)}
              {change.doubts.length > 0 && <Doubts doubts={change.doubts} />}
            </th>
            <td>
              <Value estimate={change.enamelGone} />
            </td>
            <td>
              <Value estimate={change.separationBefore} />
            </td>
            <td>
              <Value estimate={change.separationAfter} />
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

const DEGREES = 180 / Math.PI;

export function ToothChanges({ measure, whole = false }: { measure: FollowUpMeasure; whole?: boolean }) {
  const notation = useStore((state) => state.caseDocument.notation);
  return (
    <table className="grid num ledgered">
      <thead>
        <tr>
          <th scope="col">Tooth</th>
          <th scope="col">width</th>
          <th scope="col">mesial gone</th>
          <th scope="col">distal gone</th>
          {whole && <th scope="col">along, outward, up</th>}
          <th scope="col">moved</th>
          <th scope="col">turned</th>
          {whole && <th scope="col">left, RMS</th>}
        </tr>
      </thead>
      <tbody>
        {measure.teeth.map((change) => (
          <tr key={change.tooth} title={change.doubts.join(' ')}>
            <th scope="row">
              {toothLabel(change.tooth, notation)}
              {change.doubts.length > 0 && <Doubts doubts={change.doubts} />}
            </th>
            <td>
              {change.widthChange ? signed(change.widthChange.valueMm) : '–'}
              {change.widthChange && (
                <small className="ledgered__sd">± {fixed(change.widthChange.sdMm)}</small>
              )}
            </td>
            <td>
              <Value estimate={change.enamelGone[0]} />
            </td>
            <td>
              <Value estimate={change.enamelGone[1]} />
            </td>
            {whole && <td>{change.movedMm.map((value) => signed(value)).join(', ')}</td>}
            <td>
              {fixed(length(change.movedMm))}
              <small className="ledgered__sd">± {fixed(change.movedSdMm)}</small>
            </td>
            <td>
              {signed(change.turnedRad[0] * DEGREES, 1)}°
              <small className="ledgered__sd">± {fixed(change.turnedSdRad * DEGREES, 1)}</small>
            </td>
            {whole && <td>{fixed(change.residualRmsMm)}</td>}
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Doubts({ doubts }: { doubts: readonly string[] }) {
  return (
    <>
      <span className="doubt" aria-hidden="true">
        {' '}
        ?
      </span>
      <span className="visually-hidden"> doubtful: {doubts.join('; ')}</span>
    </>
  );
}

/** What the question marks stand for, each reason once. */
export function DoubtsKey({ measure }: { measure: FollowUpMeasure }) {
  const all = [...measure.teeth, ...measure.contacts].flatMap((change) => change.doubts);
  const reasons = [...new Set(all.map((doubt) => doubt.replace(/^\d\d: /, '')))];
  if (reasons.length === 0) return null;
  return (
    <p className="sheet__note">
      <span className="doubt">?</span> {reasons.join(' ')} The SD is wider there.
    </p>
  );
}
