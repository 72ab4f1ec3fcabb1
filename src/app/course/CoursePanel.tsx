import { useEffect, useMemo } from 'react';
import type { ArchAccount } from '../../core/casefile/archAccount.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ContactCourse } from '../../core/reduction/motion/contactCourse.ts';
import { contactTiming } from '../../core/reduction/motion/contactTiming.ts';
import type { PlannedCourse } from '../../core/reduction/motion/plannedCourse.ts';
import { withSurfaceGaps } from '../../core/reduction/motion/surfaceCourse.ts';
import { usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { Segments } from '../design/controls.tsx';
import { CourseSettingsForm } from './CourseSettingsForm.tsx';
import { CourseSlider } from './CourseSlider.tsx';
import { CourseSums } from './CourseSums.tsx';
import { ContactsAtStage, ContactTimes, TeethMoved } from './CourseTables.tsx';
import './course.css';
import { courseSettingsOf } from './courseOf.ts';
import { setCourseView, useCourseView } from './courseStore.ts';
import { SurfaceState } from './SurfaceState.tsx';
import { useSurfaceRun } from './surfaceRuns.ts';
import { Doubts, TakeOver } from './TimesInWords.tsx';
import { useCourseStage } from './useCourse.ts';

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
