import { type ReactNode, useEffect, useMemo } from 'react';
import { Label, ProgressBar } from 'react-aria-components';
import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchAccount } from '../../core/casefile/archAccount.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ContactCourse } from '../../core/reduction/motion/contactCourse.ts';
import {
  type ContactTiming,
  contactTiming,
  type TimingDoubt,
  visitsOfCourse,
} from '../../core/reduction/motion/contactTiming.ts';
import type { PlannedCourse } from '../../core/reduction/motion/plannedCourse.ts';
import { withSurfaceGaps } from '../../core/reduction/motion/surfaceCourse.ts';
import { VISITS_MAX } from '../../core/reduction/requestSchema.ts';
import { usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { Segments, TextButton } from '../design/controls.tsx';
import { contactLabel, fixed, percent, sd, sentence } from '../format.ts';
import { useProposal } from '../proposal/proposalStore.ts';
import { proposeOnScan } from '../proposal/proposeOnScan.ts';
import { contactSettingsOf } from '../state/archEdits.ts';
import { actions, useScanOf, useStore } from '../store.ts';
import { CourseSettingsForm } from './CourseSettingsForm.tsx';
import { CourseSlider } from './CourseSlider.tsx';
import { ContactsAtStage, ContactTimes, TeethMoved } from './CourseTables.tsx';
import './course.css';
import { courseSettingsOf } from './courseOf.ts';
import { setCourseView, useCourseView } from './courseStore.ts';
import { DOUBT_WORDS, doubtFigures } from './courseWords.ts';
import { computeSurfaces, useFoundCrowns, useSurfaceRun } from './surfaceRuns.ts';
import { useCourseStage } from './useCourse.ts';
import { useCrownsFoundAtOnce } from './useCrownsFoundAtOnce.ts';

/** The teeth moving to the planned arch: stage by stage, contact by contact, tooth by tooth. */
export function CoursePanel({ record, account }: { record: ArchRecord; account: ArchAccount }) {
  const { jaw } = record;
  useEffect(() => {
    setCourseView({ shown: true });
    return () => setCourseView({ shown: false, playing: false });
  }, []);
  const { planned, stage } = useCourseStage(jaw);
  if (!planned)
    return (
      <div className="sheet">
        <p className="status__word">No course yet</p>
        <p>
          The teeth are set on the arch line. It needs the mesial contact point of both first molars, and both
          contact points of the teeth between.
        </p>
      </div>
    );
  return <Course record={record} account={account} planned={planned} stage={stage} />;
}

function Course({
  record,
  account,
  planned,
  stage,
}: {
  record: ArchRecord;
  account: ArchAccount;
  planned: PlannedCourse;
  stage: number;
}) {
  const { jaw } = record;
  const settings = courseSettingsOf(record);
  const plan = usePlannedAmounts(jaw)?.plan ?? null;
  const run = useSurfaceRun(jaw, planned);
  const wished = useCourseView((state) => state.level);
  const surfaces = run.of === planned && run.found && run.found.contacts.length > 0 ? run.found : null;
  const level = surfaces ? wished : 'widths';
  const contacts = useMemo(
    () =>
      surfaces && level === 'surfaces'
        ? withSurfaceGaps(planned.contacts, surfaces.contacts)
        : planned.contacts,
    [planned, surfaces, level],
  );
  const timings = useMemo(
    () => contacts.map((contact) => contactTiming(contact, settings)),
    [contacts, settings],
  );
  return (
    <div className="sheet">
      <CourseSums planned={planned} account={account} perVisit={settings.stagesPerVisit}>
        <CourseSlider jaw={jaw} stageCount={planned.course.stageCount} stage={stage} />
      </CourseSums>
      <WhatItIs />
      <section className="sheet__section" aria-labelledby="course-contacts">
        <div className="sheet__head">
          <h3 className="sheet__title" id="course-contacts">
            Contacts
          </h3>
          <Segments
            small
            label="Gaps between crowns"
            value={level}
            onChange={(next) => setCourseView({ level: next })}
            choices={[
              { id: 'widths', label: 'By widths' },
              { id: 'surfaces', label: 'Between surfaces', disabled: surfaces === null },
            ]}
          />
        </div>
        <SurfaceState jaw={jaw} run={run} isReady={surfaces !== null} />
        <ContactTimes timings={timings} plan={plan} />
        <p className="sheet__note">
          mm. {level === 'surfaces' ? SURFACE_NOTE : WIDTH_NOTE} At worst: the most they would share on the
          way with nothing taken. A negative separation is an overlap. Needed: by the last visit before they
          would share more than 0.15 mm.
        </p>
        <Doubts timings={timings} />
        <TakeOver record={record} timings={timings} />
      </section>
      <AtStage contacts={contacts} stage={stage} />
      <section className="sheet__section" aria-labelledby="course-teeth">
        <div className="sheet__head">
          <h3 className="sheet__title" id="course-teeth">
            What moves where
          </h3>
          <span className="sheet__note">whole way; middle of the crown, along and off the arch line</span>
        </div>
        <TeethMoved
          jaw={jaw}
          course={planned.course}
          measures={account.measures}
          levelled={settings.levelled}
        />
        <p className="sheet__note">
          ±: SD from the tooth’s own marks; errors of the line and of the other teeth come on top.
        </p>
        {planned.notMoved.length > 0 && (
          <p className="sheet__note">
            Not moved, as nobody knows where they stand: {planned.notMoved.join(', ')} (entered widths).
          </p>
        )}
      </section>
      <CourseSettingsForm jaw={jaw} settings={settings} />
    </div>
  );
}

const SURFACE_NOTE =
  'Between the scanned crowns’ own surfaces, in the occlusal plane; good to about 0.1 mm (RMS, generated arches), less sure where crowns touched and the scan shows a web.';
const WIDTH_NOTE =
  'Crowns as blocks with round ends, by their widths alone: good to a tenth at the end, to half a millimetre where teeth stand crowded.';

function CourseSums({
  planned,
  account,
  perVisit,
  children,
}: {
  planned: PlannedCourse;
  account: ArchAccount;
  perVisit: number;
  children: ReactNode;
}) {
  const { stageCount, row } = planned.course;
  const free = row.freeMm.right + row.freeMm.left;
  const visits = visitsOfCourse(stageCount, perVisit);
  const midline = row.middleMm - row.middleStoodMm;
  return (
    <section className="sheet__section" aria-label="Course in sum">
      <div className="status">
        <p className="status__word">
          {stageCount === 0
            ? 'The teeth already stand on the planned arch'
            : `${stageCount} ${stageCount === 1 ? 'stage' : 'stages'} to the planned arch`}
        </p>
        {stageCount > 0 && (
          <p className="sheet__note">
            The last one is reached at visit {visits}, at {perVisit} stages between visits.
          </p>
        )}
      </div>
      {children}
      <dl className="sums sums_four num">
        <div>
          <dt>right side</dt>
          <dd>
            {fixed(Math.abs(row.freeMm.right))} <span className="sums__unit">mm</span>
            <small>{roomWord(row.freeMm.right)}</small>
          </dd>
        </div>
        <div>
          <dt>left side</dt>
          <dd>
            {fixed(Math.abs(row.freeMm.left))} <span className="sums__unit">mm</span>
            <small>{roomWord(row.freeMm.left)}</small>
          </dd>
        </div>
        <div>
          <dt>both sides</dt>
          <dd>
            {fixed(Math.abs(free))} <span className="sums__unit">mm</span>
            <small>{roomWord(free)}</small>
            <small>{sd(account.ledger.sdMm)}</small>
          </dd>
        </div>
        <div>
          <dt>dental midline</dt>
          <dd>
            {fixed(Math.abs(midline))} <span className="sums__unit">mm</span>
            <small>{midlineWord(midline)}</small>
          </dd>
        </div>
      </dl>
      <p className="sheet__note">
        At the end of the course, with the planned enamel off: the room left between the row of teeth and the
        first molars; “too little” where the row does not fit between them. Straight teeth take up{' '}
        {fixed(row.curveMm)}&nbsp;mm more of the curved line than their widths; the space account compares the
        line with the widths alone, so this much less is left here.
      </p>
    </section>
  );
}

/** Amounts below this are told as nothing. */
const TOLD_MM = 0.005;

const roomWord = (freeMm: number): string =>
  freeMm <= -TOLD_MM ? 'too little' : freeMm < TOLD_MM ? 'fits' : 'left open';

const midlineWord = (movedMm: number): string =>
  Math.abs(movedMm) < TOLD_MM ? 'stays' : movedMm > 0 ? 'to the left' : 'to the right';

function WhatItIs() {
  return (
    <section className="caution" aria-labelledby="course-is">
      <h3 id="course-is">What this is, and what not</h3>
      <ul>
        <li>
          Crowns as scanned, moved stiffly in the occlusal plane to the planned arch line: it shows where room
          is needed, in which order, and when a contact can be got at.
        </li>
        <li>
          No roots, bone, gum, bite, forces or biology, no tipping: it is not a prescription of tooth
          movement.
        </li>
      </ul>
    </section>
  );
}

function SurfaceState({
  jaw,
  run,
  isReady,
}: {
  jaw: Jaw;
  run: ReturnType<typeof useSurfaceRun>;
  isReady: boolean;
}) {
  const scan = useScanOf(jaw);
  const crowns = useFoundCrowns(jaw);
  const { working: finding } = useProposal(jaw);
  useCrownsFoundAtOnce(jaw);
  if (!scan)
    return <p className="sheet__note">The scan of this arch is not on the page: gaps by widths only.</p>;
  if (!crowns)
    return (
      <div className="course__offer">
        <p className="sheet__note">
          {finding
            ? 'The crowns are being told apart; they then move in the 3D arch, and the gaps are those between their surfaces.'
            : 'To see the scanned crowns move and to have the gaps between their surfaces, the crowns must be told apart first.'}
        </p>
        {finding ? (
          <TextButton small onPress={finding.cancel}>
            Cancel
          </TextButton>
        ) : (
          <TextButton small tone="strong" onPress={() => void proposeOnScan(jaw, true)}>
            Find the crowns
          </TextButton>
        )}
      </div>
    );
  if (run.working)
    return (
      <div className="course__offer">
        <ProgressBar
          className="contents"
          value={run.working.ratio * 100}
          valueLabel={percent(run.working.ratio)}
        >
          {({ percentage }) => (
            <>
              <Label className="sheet__note">Gaps between the crowns’ surfaces…</Label>
              <span className="reading__bar course__bar">
                <i style={{ width: `${percentage ?? 0}%` }} />
              </span>
            </>
          )}
        </ProgressBar>
        <TextButton small onPress={run.working?.cancel}>
          Cancel
        </TextButton>
      </div>
    );
  if (run.refusal)
    return (
      <p className="dock__say dock__say_strong" role="alert">
        {sentence(run.refusal.message.replace(/^[\w.#]+: /, ''))}
      </p>
    );
  if (!isReady && run.stoppedFor)
    return (
      <div className="course__offer">
        <p className="sheet__note">Gaps by widths; those between surfaces were not computed.</p>
        <TextButton small onPress={() => computeSurfaces(jaw)}>
          Compute them
        </TextButton>
      </div>
    );
  const without = isReady ? (run.found?.withoutCrown ?? []) : [];
  if (without.length > 0)
    return (
      <p className="sheet__note">No crown was found of {without.join(', ')}: their contacts are by widths.</p>
    );
  return null;
}

function Doubts({ timings }: { timings: readonly ContactTiming[] }) {
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
function TakeOver({ record, timings }: { record: ArchRecord; timings: readonly ContactTiming[] }) {
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

function AtStage({ contacts, stage }: { contacts: readonly ContactCourse[]; stage: number }) {
  return (
    <details className="course__stage">
      <summary>Every contact at stage {stage}</summary>
      <div className="course__narrow">
        <ContactsAtStage contacts={contacts} stage={stage} />
      </div>
    </details>
  );
}
