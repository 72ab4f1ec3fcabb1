import { useState } from 'react';
import { useArchAccount } from '../account/useArchAccount.ts';
import { NumberInput, TextButton } from '../design/controls.tsx';
import { useHideFigures } from '../design/hiddenFigures.tsx';
import { fixed, mm, sd, signed } from '../format.ts';
import type { LessonPart } from './LessonPart.ts';
import { truthOf } from './lessonArch.ts';
import { pointsFor } from './points.ts';
import { Score } from './Score.tsx';

const EYE_FULL_MM = 0.5;
const EYE_NONE_MM = 4;

const WHY = 'They come back with the balance: until then they would give the answer away.';

interface Found {
  readonly trueMm: number;
  readonly points: number;
}

/** The space judged by eye, then the account built up one line at a time. */
export function AccountLesson({ jaw, lesson, score, scoring }: LessonPart) {
  const ledger = useArchAccount(jaw)?.ledger ?? null;
  const [eyeMm, setEyeMm] = useState<number | null>(null);
  const [step, setStep] = useState(0);
  const [found, setFound] = useState<Found | null>(null);
  const isOver = step > (ledger?.entries.length ?? 0);
  useHideFigures(isOver ? null : WHY);
  if (!ledger) return null;
  const entries = ledger.entries;
  const entry = step > 0 ? entries[step - 1] : undefined;
  const sum = entries.slice(0, step).reduce((total, { amountMm }) => total + (amountMm ?? 0), 0);
  const ask = () =>
    score(async () => {
      const { differenceMm } = (await truthOf(lesson.arch)).space;
      const points = pointsFor((eyeMm ?? 0) - differenceMm, EYE_FULL_MM, EYE_NONE_MM);
      setFound({ trueMm: differenceMm, points });
      return points;
    });
  return (
    <>
      {step === 0 && (
        <p>
          Look at the arch: how much space is over, or (below 0) how much is short? Then build up the account
          line by line.
        </p>
      )}
      {entry && (
        <p aria-live="polite">
          Line {step} of {entries.length}: <b>{entry.what}</b>,{' '}
          {entry.amountMm === null
            ? `not known: ${entry.missing ?? ''}`
            : `${signed(entry.amountMm)} mm ${sd(entry.sdMm)}`}
          . So far <b className="num">{signed(sum)}</b> mm.
          {entry.note && <span className="soft"> {entry.note}</span>}
        </p>
      )}
      {isOver && (
        <p aria-live="polite">
          Balance: <b className="num">{mm(ledger.differenceMm)}</b> mm {sd(ledger.sdMm)}. You judged{' '}
          <b className="num">{eyeMm === null ? '–' : signed(eyeMm, 1)}</b> mm.
        </p>
      )}
      <span className="lesson__do lesson__do_fields">
        {step === 0 && (
          <NumberInput label="Space by eye" value={eyeMm} onChange={setEyeMm} min={-15} max={15} step={0.5} />
        )}
        {!isOver && (
          <TextButton
            small
            tone="strong"
            isDisabled={eyeMm === null}
            onPress={() => setStep((now) => now + 1)}
          >
            {step === 0 ? 'First line' : step < entries.length ? 'Next line' : 'Balance'}
          </TextButton>
        )}
        {isOver && (
          <TextButton small tone="strong" isDisabled={scoring} onPress={ask}>
            Hold it against the truth
          </TextButton>
        )}
      </span>
      {found && (
        <Score
          title="Judged, measured and true"
          points={found.points}
          onClose={() => setFound(null)}
          saying={`By eye within ${EYE_FULL_MM} mm of the truth has 100 points, off by ${EYE_NONE_MM} mm none.`}
        >
          <table className="grid">
            <tbody>
              <tr>
                <th scope="row">Judged by eye</th>
                <td className="num">{signed(eyeMm ?? 0, 1)} mm</td>
                <td className="num">off by {fixed(Math.abs((eyeMm ?? 0) - found.trueMm))} mm</td>
              </tr>
              <tr>
                <th scope="row">By the account</th>
                <td className="num">
                  {mm(ledger.differenceMm)} mm {sd(ledger.sdMm)}
                </td>
                <td className="num">
                  {ledger.differenceMm === null
                    ? '–'
                    : `off by ${fixed(Math.abs(ledger.differenceMm - found.trueMm))} mm`}
                </td>
              </tr>
              <tr>
                <th scope="row">True</th>
                <td className="num">{signed(found.trueMm)} mm</td>
                <td />
              </tr>
            </tbody>
          </table>
        </Score>
      )}
    </>
  );
}
