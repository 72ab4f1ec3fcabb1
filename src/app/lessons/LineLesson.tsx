import { useState } from 'react';
import type { ArchForm, ArchLine } from '../../core/measure/ArchMeasures.ts';
import { everyLineOf, useArchAccount } from '../account/useArchAccount.ts';
import { SelectField, TextButton } from '../design/controls.tsx';
import { FORM_NAMES, mm, sd, signed } from '../format.ts';
import { actions, useArch } from '../store.ts';
import type { LessonPart } from './LessonPart.ts';
import { truthOf } from './lessonArch.ts';
import { pointsFor } from './points.ts';
import { Score } from './Score.tsx';

const LINE_FULL_MM = 0.4;
const LINE_NONE_MM = 3;
const FORMS = Object.keys(FORM_NAMES) as ArchForm[];

interface Found {
  readonly chosen: ArchForm;
  readonly trueMm: number;
  readonly lines: readonly ArchLine[];
  readonly points: number;
}

/** The arch line chosen by looking; its length held against that of the line the arch was made along. */
export function LineLesson({ jaw, lesson, score, scoring }: LessonPart) {
  const record = useArch(jaw);
  const account = useArchAccount(jaw);
  const [found, setFound] = useState<Found | null>(null);
  const line = account?.measures.line ?? null;
  if (!record) return null;
  const ask = () =>
    score(async () => {
      const truth = await truthOf(lesson.arch);
      const trueMm = truth.arch.contactLineLengthMm;
      const lines = everyLineOf(record);
      const own = lines.find(({ form }) => form === record.form) ?? line;
      const points = own ? pointsFor(own.length.valueMm - trueMm, LINE_FULL_MM, LINE_NONE_MM) : 0;
      setFound({ chosen: record.form, trueMm, lines, points });
      return points;
    });
  return (
    <>
      <p>
        The line should run through the contact points of the many, and let a tooth out of line stand where it
        stands. The lesson begins with a catenary: try the other forms and look at the arch from above. Length
        now: <b className="num">{mm(line?.length.valueMm)}</b> mm{' '}
        <span className="soft num">{sd(line?.length.sdMm)}</span>
      </p>
      <span className="lesson__do">
        <SelectField
          label="Form of the arch line"
          labelHidden
          value={record.form}
          onChange={(form) => actions().setForm(jaw, form)}
          choices={FORMS.map((id) => ({ id, label: FORM_NAMES[id] }))}
        />
        <TextButton small tone="strong" isDisabled={!line || scoring} onPress={ask}>
          Hold it against the truth
        </TextButton>
      </span>
      {found && <LineScore found={found} onClose={() => setFound(null)} />}
    </>
  );
}

function LineScore({ found, onClose }: { found: Found; onClose: () => void }) {
  return (
    <Score
      title="Arch lines and the true length"
      points={found.points}
      onClose={onClose}
      saying={`The line through aligned contacts of this arch is ${mm(found.trueMm)} mm long. A line within ${LINE_FULL_MM} mm of it has 100 points, one off by ${LINE_NONE_MM} mm none. A small distance of the marks from a line does not make its length right: a supple form follows crowded teeth.`}
    >
      <table className="grid">
        <thead>
          <tr>
            <th scope="col">Form</th>
            <th scope="col">length, mm</th>
            <th scope="col">error, mm</th>
            <th scope="col">marks from the line, mm RMS</th>
          </tr>
        </thead>
        <tbody>
          {found.lines.map((line) => (
            <tr key={line.form}>
              <th scope="row">
                {FORM_NAMES[line.form]}
                {line.form === found.chosen && ' (yours)'}
              </th>
              <td className="num">{mm(line.length.valueMm)}</td>
              <td className="num">{signed(line.length.valueMm - found.trueMm)}</td>
              <td className="num">{mm(line.fitRmsMm)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Score>
  );
}
