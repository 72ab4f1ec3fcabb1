import { useState } from 'react';
import { contactsOf } from '../../core/base/tooth.ts';
import { presentTeeth } from '../../core/casefile/presentTeeth.ts';
import { NumberInput, SelectField, TextButton } from '../design/controls.tsx';
import { contactLabel, mm } from '../format.ts';
import { useArch, useStore } from '../store.ts';
import { type FollowUpAnswer, type FollowUpScore, followUpScore, type NextStep } from './followUpScore.ts';
import type { LessonPart } from './LessonPart.ts';
import { changeOf, FOLLOW_UP, truthOf } from './lessonArch.ts';
import { BesideYours, Score } from './Score.tsx';

const NEXT_WORDS: Readonly<Record<NextStep, string>> = {
  more: 'cut more',
  stop: 'stop',
  close: 'stop and close the space',
};
const NOWHERE = 'nowhere';
const UNSAID = 'unsaid';

/** A later scan read beside the first one: where space is left open, how much, and what comes next. */
export function FollowUpLesson({ jaw, score, scoring }: LessonPart) {
  const record = useArch(jaw);
  const notation = useStore((state) => state.caseDocument.notation);
  const [where, setWhere] = useState(UNSAID);
  const [gapMm, setGapMm] = useState<number | null>(null);
  const [next, setNext] = useState<NextStep | typeof UNSAID>(UNSAID);
  const [found, setFound] = useState<FollowUpScore | null>(null);
  if (!record) return null;
  const contacts = contactsOf(presentTeeth(record));
  const answer: FollowUpAnswer = {
    openAt: contacts.find((teeth) => String(teeth) === where) ?? null,
    gapMm: where === NOWHERE ? 0 : gapMm,
    next: next === UNSAID ? null : next,
  };
  const ask = () =>
    score(async () => {
      const [change, later] = await Promise.all([
        changeOf(FOLLOW_UP.later),
        truthOf({ kind: 'sample', name: FOLLOW_UP.later, jaw }),
      ]);
      const result = followUpScore(answer, change, -later.space.differenceMm);
      setFound(result);
      return result.points;
    });
  const isSaid = where !== UNSAID && next !== UNSAID && (where === NOWHERE || gapMm !== null);
  return (
    <>
      <p>
        A scan from the end of treatment lies over the first one. Read it under <b>Visits</b> and in the arch:
        where is space left open, how much, and what comes next?
      </p>
      <span className="lesson__do lesson__do_fields">
        <SelectField
          label="Space open at"
          value={where}
          onChange={setWhere}
          choices={[
            { id: UNSAID, label: 'not said yet', disabled: true },
            { id: NOWHERE, label: 'nowhere' },
            ...contacts.map((teeth) => ({ id: String(teeth), label: contactLabel(teeth, notation) })),
          ]}
        />
        <NumberInput
          label="Space there"
          value={where === NOWHERE ? 0 : gapMm}
          onChange={setGapMm}
          min={0}
          max={5}
          step={0.01}
          digits={2}
          disabled={where === NOWHERE}
        />
        <SelectField<NextStep | typeof UNSAID>
          label="What comes next"
          value={next}
          onChange={setNext}
          choices={[
            { id: UNSAID, label: 'not said yet', disabled: true },
            ...(Object.keys(NEXT_WORDS) as NextStep[]).map((id) => ({ id, label: NEXT_WORDS[id] })),
          ]}
        />
        <TextButton small tone="strong" isDisabled={!isSaid || scoring} onPress={ask}>
          Hold it against the truth
        </TextButton>
      </span>
      {found && (
        <Score
          title="What the later scan says"
          points={found.points}
          onClose={() => setFound(null)}
          saying="30 points for the contact, 40 for the size of its space (all within 0.08 mm, none from 0.4 mm), 30 for what comes next."
        >
          <table className="grid">
            <BesideYours what="true" />
            <tbody>
              <tr>
                <th scope="row">Space open at</th>
                <td>{answer.openAt ? contactLabel(answer.openAt, notation) : 'nowhere'}</td>
                <td>{found.openAt ? contactLabel(found.openAt, notation) : 'nowhere'}</td>
              </tr>
              <tr>
                <th scope="row">Space there</th>
                <td className="num">{mm(answer.gapMm)} mm</td>
                <td className="num">{mm(found.gapMm)} mm</td>
              </tr>
              <tr>
                <th scope="row">What comes next</th>
                <td>{answer.next ? NEXT_WORDS[answer.next] : '–'}</td>
                <td>{NEXT_WORDS[found.next]}</td>
              </tr>
              <tr>
                <th scope="row">Enamel taken there in all</th>
                <td />
                <td className="num">{mm(found.takenMm)} mm</td>
              </tr>
            </tbody>
          </table>
        </Score>
      )}
    </>
  );
}
