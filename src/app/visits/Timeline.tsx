import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { VisitAccount } from '../../core/casefile/visitAccount.ts';
import { entryHistory, standingEntries, visitsHeld } from '../../core/visits/CutEntry.ts';
import { asEstimate, cutEstimate, sumOfCuts } from '../../core/visits/cutEstimate.ts';
import { TextButton } from '../design/controls.tsx';
import { SCAN_TYPES } from '../files/scanTypes.ts';
import { contactLabel, fixed, mm, sd } from '../format.ts';
import { useStore } from '../store.ts';
import { chooseFile } from '../topbar/fileChoosers.ts';
import { KeepAsAgreed } from './KeepAsAgreed.tsx';
import { showVisitDialog } from './visitsStore.ts';
import { dayOf, entryInWords } from './visitWords.ts';

/** Plan, visits and later scans in the order they came, and the next visit with what it may take. */
export function Timeline({
  record,
  account,
  plannedMm,
}: {
  record: ArchRecord;
  account: VisitAccount;
  plannedMm: number;
}) {
  const { jaw } = record;
  const held = visitsHeld(record.visits ?? []);
  const { rest, verdict, override } = account.balance;
  const next = held + 1;
  const isOpen = verdict.says === 'more' || override !== null;
  /** Nothing may be cut before a later scan says how much is still needed: that scan is the next step. */
  const waitsForScan = !isOpen && verdict.because === 'unsure';
  return (
    <section className="sheet__section" aria-labelledby="visits-line">
      <h3 className="sheet__title" id="visits-line">
        Visits
      </h3>
      <ol className="timeline">
        <li className="timeline__step">
          <p className="timeline__what">Plan</p>
          <p className="sheet__note num">{mm(plannedMm, 1)}&nbsp;mm planned, held-back tenths included</p>
          <KeepAsAgreed />
        </li>
        {Array.from({ length: held }, (_, i) => i + 1).map((visit) => (
          <HeldVisit key={visit} record={record} visit={visit} />
        ))}
        {account.followUps.length === 0 && held === 0 ? null : (
          <li className="timeline__step timeline__step_scan">
            <p className="timeline__what">Follow-up scan</p>
            <p className="sheet__note">
              {account.followUps.length === 0
                ? 'None yet. It shows what was really taken and releases what is held back.'
                : account.followUps
                    .map((followUp) => `${followUp.record.scan.file}, ${dayOf(followUp.record.date)}`)
                    .join('; ')}
            </p>
            <TextButton
              small={!waitsForScan}
              tone={waitsForScan ? 'strong' : 'normal'}
              onPress={() =>
                chooseFile(SCAN_TYPES, (file) => showVisitDialog({ kind: 'follow-up', jaw, file }))
              }
            >
              Open a follow-up scan…
            </TextButton>
          </li>
        )}
        <li className="timeline__step timeline__step_next">
          <p className="timeline__what">Visit {next}</p>
          <p className="sheet__note num">
            {isOpen && rest.plan.plannedMm - rest.plan.heldBackMm > 1e-9
              ? `${mm(firstVisitMm(account), 1)}\u00a0mm due, ${mm(rest.plan.heldBackMm, 1)}\u00a0mm held back`
              : 'nothing to cut'}
            {isOpen && rest.visitsLeft === 0 && '; one visit more than planned'}
          </p>
          <span className="timeline__actions">
            <TextButton
              tone={isOpen ? 'strong' : 'normal'}
              onPress={() => showVisitDialog({ kind: 'record', jaw, visit: next })}
            >
              Record visit {next}…
            </TextButton>
            <TextButton onPress={() => showVisitDialog({ kind: 'sheet', jaw, visit: next })}>
              Visit sheet…
            </TextButton>
          </span>
        </li>
      </ol>
    </section>
  );
}

/** What may be cut in the first visit of the rest of the plan. */
const firstVisitMm = ({ balance: { rest } }: VisitAccount): number =>
  rest.plan.contacts.reduce(
    (sum, contact) =>
      sum + Math.max(0, Math.min(contact.byVisitMm[0] ?? 0, contact.totalMm - contact.heldBackMm)),
    0,
  );

function HeldVisit({ record, visit }: { record: ArchRecord; visit: number }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const all = record.visits ?? [];
  const entries = standingEntries(all).filter((entry) => entry.visit === visit);
  const done = asEstimate(sumOfCuts(entries.map((entry) => cutEstimate(entry.how))));
  const planned = entries.reduce((sum, entry) => sum + entry.plannedMm, 0);
  const dates = [...new Set(entries.map((entry) => entry.date))].sort();
  return (
    <li className="timeline__step">
      <p className="timeline__what">
        Visit {visit} <span className="soft">{dates.map(dayOf).join(', ') || 'nothing recorded'}</span>
      </p>
      <p className="sheet__note num">
        {entries.length} {entries.length === 1 ? 'contact' : 'contacts'}: planned {fixed(planned)}&nbsp;mm,
        recorded {fixed(done.valueMm)}&nbsp;mm {sd(done.sdMm)}
      </p>
      <details className="timeline__entries">
        <summary>Entries of visit {visit}</summary>
        <ul>
          {entries.map((entry) => {
            const [, ...earlier] = entryHistory(all, entry);
            return (
              <li key={entry.id}>
                <b>{contactLabel(entry.teeth, notation)}</b>: {entryInWords(entry)}; planned{' '}
                {fixed(entry.plannedMm)}&nbsp;mm
                {earlier.map((old) => (
                  <span key={old.id} className="timeline__replaced">
                    {' '}
                    corrected; before: {entryInWords(old)}
                  </span>
                ))}
              </li>
            );
          })}
        </ul>
      </details>
      <TextButton
        small
        onPress={() => showVisitDialog({ kind: 'record', jaw: record.jaw, visit })}
        aria-label={`Correct visit ${visit}`}
      >
        Correct or add…
      </TextButton>
    </li>
  );
}
