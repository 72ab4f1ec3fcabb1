import { useState } from 'react';
import { positionOf, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import { presentTeeth } from '../../core/casefile/presentTeeth.ts';
import { TextButton } from '../design/controls.tsx';
import { mm, signed } from '../format.ts';
import { activeMarks } from '../state/archEdits.ts';
import { useArch, useStore } from '../store.ts';
import { selectTooth } from '../strip/select.ts';
import type { LessonPart } from './LessonPart.ts';
import { truthOf } from './lessonArch.ts';
import { type MarkScore, markScore, WIDTH_FULL_MM, WIDTH_NONE_MM } from './markScore.ts';
import { Score } from './Score.tsx';
import { whyOff } from './scoreWords.ts';

/** Marking the six front teeth by hand; the truth is read when the student asks for the score. */
export function MarkingLesson({ jaw, lesson, score, scoring }: LessonPart) {
  const record = useArch(jaw);
  const [found, setFound] = useState<MarkScore | null>(null);
  const [shown, setShown] = useState(false);
  if (!record) return null;
  const teeth = presentTeeth(record).filter((tooth) => positionOf(tooth) <= 3);
  const marks = activeMarks(record).filter(
    ({ tooth, site, state }) =>
      teeth.includes(tooth) && (site === 'mesial' || site === 'distal') && state === 'confirmed',
  );
  const ask = () =>
    score(async () => {
      const result = markScore(activeMarks(record), await truthOf(lesson.arch), teeth);
      setFound(result);
      setShown(true);
      return result.points;
    });
  return (
    <>
      <p>
        Click the outermost point of each wall that touches its neighbour, on both sides of the front teeth;
        or by keys: <kbd>M</kbd>, then <kbd>Enter</kbd> under the cross, arrows to nudge.{' '}
        <b className="num">{marks.length}</b> of {2 * teeth.length} points are marked.
      </p>
      <span className="lesson__do">
        <TextButton small tone="strong" isDisabled={marks.length < 2 || scoring} onPress={ask}>
          Score my marks
        </TextButton>
        {found && !shown && (
          <TextButton small onPress={() => setShown(true)}>
            Last score
          </TextButton>
        )}
      </span>
      {found && shown && <MarkingScore found={found} onClose={() => setShown(false)} />}
    </>
  );
}

function MarkingScore({ found, onClose }: { found: MarkScore; onClose: () => void }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const show = (tooth: Tooth): void => {
    onClose();
    selectTooth(tooth);
  };
  const right = found.teeth.filter((t) => t.points === 100).length;
  return (
    <Score
      title="Your marks and the truth"
      points={found.points}
      onClose={onClose}
      saying={`${right} of ${found.teeth.length} widths are within ${WIDTH_FULL_MM} mm.${
        found.rmsMm === null ? '' : ` Root mean square of the errors: ${mm(found.rmsMm)}\u00a0mm.`
      } A width within ${WIDTH_FULL_MM} mm has 100 points, one off by ${WIDTH_NONE_MM} mm or more none; the score is the mean.`}
    >
      <table className="grid">
        <thead>
          <tr>
            <th scope="col">Tooth</th>
            <th scope="col">yours, mm</th>
            <th scope="col">true, mm</th>
            <th scope="col">error, mm</th>
            <th scope="col" className="grid__text">
              where and why
            </th>
            <th scope="col">
              <span className="visually-hidden">look</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {found.teeth.map((t) => (
            <tr key={t.tooth}>
              <th scope="row">{toothLabel(t.tooth, notation)}</th>
              <td className="num">{mm(t.widthMm)}</td>
              <td className="num">{mm(t.trueMm)}</td>
              <td className="num">{t.errorMm === null ? '–' : signed(t.errorMm)}</td>
              <td className="grid__text">{whyOff(t)}</td>
              <td>
                <TextButton
                  small
                  aria-label={`Look at tooth ${toothLabel(t.tooth, notation)}`}
                  onPress={() => show(t.tooth)}
                >
                  Look
                </TextButton>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Score>
  );
}
