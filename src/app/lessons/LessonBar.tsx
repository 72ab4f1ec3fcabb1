import { useState } from 'react';
import { Group } from 'react-aria-components';
import type { Jaw } from '../../core/base/tooth.ts';
import { TextButton } from '../design/controls.tsx';
import { showRefusal } from '../files/openScan.ts';
import { actions, useArch } from '../store.ts';
import { showDialog } from '../topbar/dialogStore.ts';
import { AccountLesson } from './AccountLesson.tsx';
import { FollowUpLesson } from './FollowUpLesson.tsx';
import { LineLesson } from './LineLesson.tsx';
import { type LessonId, lessonOf } from './lessonList.ts';
import { leaveLesson, noteResult, setProjector, useLessons } from './lessonStore.ts';
import { MarkingLesson } from './MarkingLesson.tsx';
import { PlanLesson } from './PlanLesson.tsx';
import { useRunningLesson } from './useRunningLesson.ts';
import './lessons.css';

const PARTS = {
  marking: MarkingLesson,
  line: LineLesson,
  account: AccountLesson,
  plan: PlanLesson,
  'follow-up': FollowUpLesson,
};

/** What a lesson can do without where the window is low. */
const ROOM: Readonly<Record<LessonId, string>> = {
  marking: 'lesson_no-strip',
  line: 'lesson_no-strip lesson_no-chart',
  account: 'lesson_no-chart',
  plan: 'lesson_no-chart',
  'follow-up': 'lesson_no-chart',
};

/** Above the arch while a lesson is under way: what to do next, and the score when it is done. */
export function LessonBar({ jaw }: { jaw: Jaw }) {
  const lesson = useRunningLesson(jaw);
  const record = useArch(jaw);
  const projector = useLessons((state) => state.projector);
  const [scoring, setScoring] = useState(false);
  if (!lesson || !record) return null;
  const Part = PARTS[lesson.id];
  const score = (run: () => Promise<number>): void => {
    setScoring(true);
    run()
      .then((points) => {
        noteResult(lesson.id, points);
        actions().announce(`Score: ${Math.round(points)} of 100.`);
      })
      .catch((error: unknown) => showRefusal(error, 'The lesson could not be scored'))
      .finally(() => setScoring(false));
  };
  const leave = (): void => {
    leaveLesson();
    actions().announce('Lesson left. Your own cases are under Case, Cases kept in this browser.');
  };
  return (
    <Group className={`lesson ${ROOM[lesson.id]}`} aria-label="Lesson">
      <div className="lesson__head">
        <h2 className="lesson__title">{lessonOf(lesson.id).title}</h2>
        <span className="lesson__actions">
          <TextButton small tone="plain" onPress={() => setProjector(!projector)}>
            {projector ? 'Normal type' : 'Large type'}
          </TextButton>
          <TextButton small tone="plain" onPress={() => showDialog('lessons')}>
            Lessons…
          </TextButton>
          <TextButton small tone="plain" onPress={leave}>
            Leave
          </TextButton>
        </span>
      </div>
      <div className="lesson__part">
        <Part key={lesson.sha256 + lesson.id} jaw={jaw} lesson={lesson} score={score} scoring={scoring} />
      </div>
    </Group>
  );
}
