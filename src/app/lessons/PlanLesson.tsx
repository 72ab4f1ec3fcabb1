import { useEffect, useState } from 'react';
import { usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { TextButton } from '../design/controls.tsx';
import { useHideFigures } from '../design/hiddenFigures.tsx';
import { contactLabel, mm, percent } from '../format.ts';
import { actions, useStore } from '../store.ts';
import { beginWithNone } from './beginWithNone.ts';
import type { LessonPart } from './LessonPart.ts';
import { type PlanScore, planScore } from './planScore.ts';
import { BesideYours, Score } from './Score.tsx';

/** The student's own tenths beside the exact plan, in shares of what each contact bears and in forecast. */
export function PlanLesson({ jaw, score, scoring }: LessonPart) {
  const amounts = usePlannedAmounts(jaw);
  const [found, setFound] = useState<PlanScore | null>(null);
  const exact = amounts?.exactPlan ?? null;
  const isOwn = amounts?.from === 'own';
  const [begun, setBegun] = useState(false);
  const begin = (): void => {
    if (amounts)
      beginWithNone(amounts.request, (none, first) =>
        actions().setOwnTenth(jaw, none, first, { amountMm: 0 }),
      );
  };
  // The plan is the answer: it is put away before it is seen.
  useHideFigures(begun ? null : 'The plan is put away; you begin with nothing at every contact.');
  useEffect(() => {
    if (begun || !amounts) return;
    if (!isOwn) begin();
    else setBegun(true);
  });
  const ask = () =>
    score(async () => {
      const result = planScore(amounts!.plan, exact!, amounts!.request);
      setFound(result);
      return result.points;
    });
  return (
    <>
      <p>
        {isOwn
          ? 'Set the tenths of each contact in the strip below: as much as is needed in all, and no contact near its limit while another has room.'
          : 'There are no own tenths any more: begin with none.'}{' '}
        Planned: <b className="num">{mm(isOwn ? amounts.plan.plannedMm : 0, 1)}</b> mm; needed:{' '}
        <b className="num">{mm(amounts?.request.neededMm)}</b> mm.
      </p>
      <span className="lesson__do">
        {begun && amounts && !isOwn && (
          <TextButton small onPress={begin}>
            Begin with none
          </TextButton>
        )}
        <TextButton small tone="strong" isDisabled={!isOwn || !exact || scoring} onPress={ask}>
          Lay it beside the exact plan
        </TextButton>
      </span>
      {found && <PlanScoreSheet found={found} onClose={() => setFound(null)} />}
    </>
  );
}

function PlanScoreSheet({ found, onClose }: { found: PlanScore; onClose: () => void }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const rows = [
    ['In all', (s: PlanScore['own']) => `${mm(s.plannedMm, 1)} mm`],
    ['Largest share of what a contact bears', (s: PlanScore['own']) => percent(s.worstShare)],
    ['Space left at the end, expected', (s: PlanScore['own']) => `${mm(s.forecast.residualMeanMm)} mm`],
    ['Chance of a gap', (s: PlanScore['own']) => percent(s.forecast.chanceGap)],
    ['Chance of jamming', (s: PlanScore['own']) => percent(s.forecast.chanceJam)],
  ] as const;
  return (
    <Score
      title="Your plan and the exact one"
      points={found.points}
      onClose={onClose}
      saying="Half the points are for the sum, half for sparing the enamel: how near the largest share comes to the least there can be."
    >
      <table className="grid">
        <BesideYours what="exact" />
        <tbody>
          {rows.map(([what, say]) => (
            <tr key={what}>
              <th scope="row">{what}</th>
              <td className="num">{say(found.own)}</td>
              <td className="num">{say(found.exact)}</td>
            </tr>
          ))}
          {found.contacts.map((c) => (
            <tr key={String(c.teeth)}>
              <th scope="row">{contactLabel(c.teeth, notation)}</th>
              <td className="num">
                {mm(c.ownMm, 1)} mm <span className="soft">{percent(c.ownShare)}</span>
              </td>
              <td className="num">
                {mm(c.exactMm, 1)} mm <span className="soft">{percent(c.exactShare)}</span>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Score>
  );
}
