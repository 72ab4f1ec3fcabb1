import { exceededLimits } from '../../core/reduction/exceededLimits.ts';
import { excessWords } from '../../core/reduction/ownAmounts.ts';
import type { PlannedAmounts } from '../account/usePlannedAmounts.ts';
import { contactLabel, mm, signed } from '../format.ts';
import { sameContact } from '../state/archEdits.ts';
import { useStore } from '../store.ts';

/** Says on paper that the amounts are the user's own, where they differ from the plan's, and what they exceed. */
export function PaperOwnTenths({ amounts }: { amounts: PlannedAmounts }) {
  const notation = useStore((state) => state.caseDocument.notation);
  if (amounts.from !== 'own') return null;
  const { plan, exactPlan, limits, excesses } = amounts;
  const rows = plan.contacts.flatMap(({ teeth, totalMm }) => {
    const exactMm = exactPlan?.contacts.find((c) => sameContact(c.teeth, teeth))?.totalMm ?? 0;
    return Math.abs(totalMm - exactMm) > 1e-9 ? [{ teeth, totalMm, exactMm }] : [];
  });
  const raised = exceededLimits(plan, limits).filter(({ isUsed }) => isUsed);
  const unmet = plan.contacts
    .map(({ teeth }) => teeth)
    .filter((teeth) =>
      excesses.some((excess) => sameContact(excess.teeth, teeth) && excess.countsMm < excess.wishedMm - 1e-9),
    );
  return (
    <div className="paper__own">
      <p>
        <b>Amounts set by the user, in place of the plan that the rules give.</b>{' '}
        {exactPlan &&
          `In all ${mm(plan.plannedMm, 1)}\u00a0mm instead of ${mm(exactPlan.plannedMm, 1)}, ${signed(plan.plannedMm - exactPlan.plannedMm, 1)}\u00a0mm.`}{' '}
        {rows.length === 0 && 'Every contact is as in the plan.'}
      </p>
      {rows.length > 0 && (
        <table className="grid num">
          <thead>
            <tr>
              <th scope="col">Contact</th>
              <th scope="col">own, mm</th>
              <th scope="col">plan, mm</th>
              <th scope="col">difference</th>
            </tr>
          </thead>
          <tbody>
            {rows.map(({ teeth, totalMm, exactMm }) => (
              <tr key={teeth.join('-')}>
                <th scope="row">{contactLabel(teeth, notation)}</th>
                <td>{mm(totalMm, 1)}</td>
                <td>{mm(exactMm, 1)}</td>
                <td>{signed(totalMm - exactMm, 1)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {raised.map(({ teeth, text }) => (
        <p key={teeth.join('-')} className="paper__note">
          <b>{contactLabel(teeth, notation)}</b> {text}
        </p>
      ))}
      {unmet.map((teeth) => (
        <p key={teeth.join('-')} className="paper__note">
          <b>{contactLabel(teeth, notation)}</b>{' '}
          {excessWords(excesses.filter((excess) => sameContact(excess.teeth, teeth)))}
        </p>
      ))}
    </div>
  );
}
