import type { ReactNode } from 'react';
import type { ArchAccount } from '../../core/casefile/archAccount.ts';
import { visitsOfCourse } from '../../core/reduction/motion/contactTiming.ts';
import type { PlannedCourse } from '../../core/reduction/motion/plannedCourse.ts';
import { fixed, sd } from '../format.ts';

/** How many stages the course has, and the room left on either side at its end. */
export function CourseSums({
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
