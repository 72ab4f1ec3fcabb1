import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { PlannedAmounts } from '../account/usePlannedAmounts.ts';
import { mm } from '../format.ts';
import { BackToPlan } from './BackToPlan.tsx';

/** Beside the plan of the rules: that the user's own tenths are in force instead, and the way back. */
export function OwnInForce({ record, amounts }: { record: ArchRecord; amounts: PlannedAmounts }) {
  if (amounts.from !== 'own') return null;
  return (
    <p className="dock__say dock__say_strong own-in-force">
      Your own tenths are in force, {mm(amounts.plan.plannedMm, 1)}&nbsp;mm in all: the strip, the course of
      the teeth, visits and print follow them. The sums and visits on this page are those of the plan the
      rules give. <BackToPlan jaw={record.jaw} />
    </p>
  );
}
