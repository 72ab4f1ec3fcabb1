import { type Jaw, toothLabel } from '../../core/base/tooth.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import type { ContactCourse } from '../../core/reduction/motion/contactCourse.ts';
import type { ContactTiming } from '../../core/reduction/motion/contactTiming.ts';
import { movementSd } from '../../core/reduction/motion/movementSd.ts';
import type { ToothCourse } from '../../core/reduction/motion/toothCourse.ts';
import type { ReductionPlan } from '../../core/reduction/ReductionPlan.ts';
import { type GridRow, RowGrid } from '../design/RowGrid.tsx';
import { contactLabel, fixed, mm, sd, toothName } from '../format.ts';
import { sameContact } from '../state/archEdits.ts';
import { useStore } from '../store.ts';
import { selectContact, selectTooth } from '../strip/select.ts';
import { alongWords, outwardWords, overlapMm, raisedWords, turnWords } from './courseWords.ts';

const RAD_TO_DEG = 180 / Math.PI;

const visitCell = (visit: number | null, stage: number | null, none: string) =>
  visit === null ? (
    <span className="soft">{none}</span>
  ) : (
    <span className="course__visit">
      {visit}
      <small className="soft">stage {stage}</small>
    </span>
  );

/** One row a contact: what it needs, by when, from when it can be reached, what is left. */
export function ContactTimes({
  timings,
  plan,
}: {
  timings: readonly ContactTiming[];
  plan: ReductionPlan | null;
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  const selected = useStore((state) => state.ui.selectedContact);
  const rows = timings.map((timing): GridRow => {
    const { teeth, neededByVisit, neededFromStage, reachableFromVisit, reachableFromStage } = timing;
    const planned = plan?.contacts.find((c) => sameContact(c.teeth, teeth))?.totalMm ?? 0;
    return {
      id: teeth.join('-'),
      name: `Contact ${contactLabel(teeth, notation)}`,
      cells: [
        <span className={timing.doubts.length > 0 ? 'course__doubtful' : undefined} key="c">
          {contactLabel(teeth, notation)}
          {timing.doubts.length > 0 && <span className="visually-hidden"> doubtful</span>}
        </span>,
        mm(overlapMm(timing.gapNowMm)),
        mm(overlapMm(timing.leastGapMm)),
        planned > 0 ? mm(planned, 1) : '·',
        visitCell(neededByVisit, neededFromStage, 'not'),
        visitCell(reachableFromVisit, reachableFromStage, 'never'),
        mm(timing.endGapMm),
      ],
    };
  });
  return (
    <div className="course__narrow">
      <RowGrid
        label="Contacts on the way"
        heads={[
          'Contact',
          'overlap now',
          'at worst',
          'planned',
          'needed by visit',
          'reachable from visit',
          'separation at end',
        ]}
        rows={rows}
        selectedId={selected ? selected.join('-') : null}
        onSelect={(id) => {
          const timing = timings.find(({ teeth }) => teeth.join('-') === id);
          if (timing) selectContact(timing.teeth);
        }}
      />
    </div>
  );
}

/** One row a contact at the stage looked at. */
export function ContactsAtStage({ contacts, stage }: { contacts: readonly ContactCourse[]; stage: number }) {
  const notation = useStore((state) => state.caseDocument.notation);
  return (
    <table className="grid" aria-label={`Contacts at stage ${stage}`}>
      <thead>
        <tr>
          <th scope="col">Contact</th>
          <th scope="col">overlap, nothing taken</th>
          <th scope="col">separation, planned off</th>
          <th scope="col">step across</th>
          <th scope="col">turned</th>
        </tr>
      </thead>
      <tbody>
        {contacts.map(({ teeth, stages }) => {
          const at = stages[Math.min(stage, stages.length - 1)];
          return (
            <tr key={teeth.join('-')}>
              <th scope="row">{contactLabel(teeth, notation)}</th>
              <td>{mm(overlapMm(at.wholeGapMm))}</td>
              <td>{mm(at.reducedGapMm)}</td>
              <td>{mm(Math.abs(at.acrossMm))}</td>
              <td>{fixed(Math.abs(at.turnRad) * RAD_TO_DEG, 0)}°</td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

/** What moves where, whole way. */
export function TeethMoved({
  jaw,
  course,
  measures,
  levelled,
}: {
  jaw: Jaw;
  course: ToothCourse;
  measures: ArchMeasures;
  levelled: boolean;
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  const selected = useStore((state) => state.ui.selectedTooth ?? state.ui.selectedSite?.tooth ?? null);
  const rows = course.teeth.map(({ moved }): GridRow => {
    const own = movementSd(measures, moved.tooth);
    const withSd = (words: string, error: number | null | undefined, digits = 2) => (
      <>
        {words} {words !== '–' && <small className="soft course__sd">{sd(error, digits)}</small>}
      </>
    );
    const cells = [
      toothLabel(moved.tooth, notation),
      withSd(alongWords(moved), own?.alongMm),
      withSd(outwardWords(moved), own?.outwardMm),
      withSd(turnWords(moved, jaw), own && own.turnRad * RAD_TO_DEG, 0),
    ];
    return {
      id: String(moved.tooth),
      name: `Tooth ${toothLabel(moved.tooth, notation)}, ${toothName(moved.tooth)}`,
      cells: levelled ? [...cells, raisedWords(moved)] : cells,
    };
  });
  return (
    <div className="course__narrow">
      <RowGrid
        label="What moves where"
        heads={['Tooth', 'along, mm', 'outward, mm', 'turned, °', ...(levelled ? ['height, mm'] : [])]}
        rows={rows}
        selectedId={selected === null ? null : String(selected)}
        onSelect={(id) => selectTooth(Number(id))}
      />
    </div>
  );
}
