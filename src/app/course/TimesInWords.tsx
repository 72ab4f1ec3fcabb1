import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ContactTiming, TimingDoubt } from '../../core/reduction/motion/contactTiming.ts';
import { VISITS_MAX } from '../../core/reduction/requestSchema.ts';
import { TextButton } from '../design/controls.tsx';
import { contactLabel } from '../format.ts';
import { contactSettingsOf } from '../state/archEdits.ts';
import { actions, useStore } from '../store.ts';
import { DOUBT_WORDS, doubtFigures } from './courseWords.ts';

/** What is doubtful about the times, each reason with its contacts. */
export function Doubts({ timings }: { timings: readonly ContactTiming[] }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const kinds = (Object.keys(DOUBT_WORDS) as TimingDoubt[]).flatMap((doubt) => {
    const about = timings.filter((timing) => timing.doubts.includes(doubt));
    return about.length > 0 ? [{ doubt, about }] : [];
  });
  if (kinds.length === 0) return null;
  return (
    <ul className="course__doubts" aria-label="Doubtful">
      {kinds.map(({ doubt, about }) => (
        <li key={doubt}>
          {DOUBT_WORDS[doubt]}:{' '}
          {about.map((timing, i) => {
            const figures = doubtFigures(doubt, timing);
            return (
              <span key={timing.teeth.join('-')}>
                {i > 0 && ', '}
                <b>{contactLabel(timing.teeth, notation)}</b>
                {figures && ` (${figures})`}
              </span>
            );
          })}
          .
        </li>
      ))}
    </ul>
  );
}

/** Puts the visits from which contacts can be reached into the plan's settings. */
export function TakeOver({ record, timings }: { record: ArchRecord; timings: readonly ContactTiming[] }) {
  const { jaw } = record;
  const changes = timings.flatMap(({ teeth, reachableFromVisit }) => {
    if (reachableFromVisit === null) return [];
    const visit = Math.min(VISITS_MAX, reachableFromVisit);
    return contactSettingsOf(record, teeth).reachableFromVisit === visit
      ? []
      : [{ teeth, change: { reachableFromVisit: visit } }];
  });
  const beyond = changes.filter(({ change }) => change.reachableFromVisit > record.plan.visits).length;
  const take = (): void => {
    actions().setContacts(jaw, changes);
    actions().announce(
      `Reachable from visit: set at ${changes.length} ${changes.length === 1 ? 'contact' : 'contacts'}. The plan follows; undo takes it back.`,
    );
  };
  return (
    <div className="course__offer">
      <p className="sheet__note">
        {changes.length === 0
          ? 'The plan already counts with these visits.'
          : `At ${changes.length} ${changes.length === 1 ? 'contact' : 'contacts'} the plan counts with another first visit.`}
        {beyond > 0 && ` ${beyond} of them later than the plan’s last visit: nothing would be planned there.`}
      </p>
      <TextButton small isDisabled={changes.length === 0} onPress={take}>
        Take over “reachable from visit”
      </TextButton>
    </div>
  );
}
