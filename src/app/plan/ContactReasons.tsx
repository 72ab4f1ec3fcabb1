import { useState } from 'react';
import type { Contact, Jaw } from '../../core/base/tooth.ts';
import { outsideBandsFor } from '../../core/reduction/planBothArches.ts';
import { type ReasonOptions, whyNotInstead } from '../../core/reduction/planReasons.ts';
import { whatBinds } from '../../core/reduction/whatBinds.ts';
import { useBothPlans, usePlan } from '../account/usePlan.ts';
import { SelectField } from '../design/controls.tsx';
import { contactLabel, mm, unbroken } from '../format.ts';
import { useStore } from '../store.ts';

/** What the reasons of a jaw's plan are measured by: its midline wish, and the ratio where both arches go together. */
function useReasonOptions(jaw: Jaw): ReasonOptions {
  const notation = useStore((state) => state.caseDocument.notation);
  const midline = useStore((state) => state.caseDocument.arches[jaw]?.plan.midline ?? null);
  const both = useBothPlans();
  return {
    midline,
    nameOf: (teeth) => contactLabel(teeth, notation),
    ...(both && both.asked.bands.length > 0
      ? { outsideBandsMm: outsideBandsFor(jaw, both.asked, both.plans) }
      : {}),
  };
}

const same = (a: Contact, b: Contact): boolean => a.join('-') === b.join('-');

/** Why so much is planned at a contact, and why not a step more or less, against any other contact. */
export function ContactReasons({ jaw, teeth }: { jaw: Jaw; teeth: Contact }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const { plan, request } = usePlan(jaw);
  const options = useReasonOptions(jaw);
  const [chosen, setChosen] = useState<string | null>(null);
  if (!plan || !request) return null;
  const bindings = whatBinds(plan, request);
  const own = bindings.find((b) => same(b.teeth, teeth));
  const others = bindings.filter((b) => !same(b.teeth, teeth));
  if (!own || others.length === 0 || plan.plannedMm === 0) return null;
  // By default the nearest that could take over.
  const at = bindings.indexOf(own);
  const far = (b: (typeof others)[number]): number => Math.abs(bindings.indexOf(b) - at);
  const nearest = others
    .filter((b) => b.spareMm > 0 && b.binds !== 'locked')
    .reduce<(typeof others)[number] | null>((best, b) => (!best || far(b) < far(best) ? b : best), null);
  const other = others.find((b) => b.teeth.join('-') === chosen) ?? nearest ?? others[0];
  const step = `${mm(request.stepMm, request.stepMm < 0.1 ? 2 : 1)}\u00a0mm`;
  const name = contactLabel(other.teeth, notation);
  const less = whyNotInstead(plan, request, { take: other.teeth, give: teeth }, options);
  const more = whyNotInstead(plan, request, { take: teeth, give: other.teeth }, options);
  return (
    <section className="reasons" aria-label="Reasons of the plan">
      <SelectField
        label="Why here, and not at"
        value={other.teeth.join('-')}
        onChange={setChosen}
        choices={others.map((b) => ({
          id: b.teeth.join('-'),
          label: contactLabel(b.teeth, notation),
          note: `${mm(b.amountMm, 1)} of ${mm(b.capacityMm, 1)}\u00a0mm`,
        }))}
      />
      <dl>
        <dt>
          {step} less here, more at {name}
        </dt>
        <dd>{unbroken(less.text)}</dd>
        <dt>
          {step} more here, less at {name}
        </dt>
        <dd>{unbroken(more.text)}</dd>
      </dl>
    </section>
  );
}
