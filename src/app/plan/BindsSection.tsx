import { memo } from 'react';
import { Button } from 'react-aria-components';
import { exceededLimits } from '../../core/reduction/exceededLimits.ts';
import { commitmentReason, planReach } from '../../core/reduction/planReasons.ts';
import { type BindingLimit, whatBinds } from '../../core/reduction/whatBinds.ts';
import type { PlannedAmounts } from '../account/usePlannedAmounts.ts';
import { contactLabel, fixed, mm, percent, unbroken } from '../format.ts';
import { useStore } from '../store.ts';
import { selectContact } from '../strip/select.ts';

const BINDING_WORDS: Readonly<Record<BindingLimit, string>> = {
  locked: 'locked',
  'contact-limit': 'limit of the contact',
  'surface-limits': 'enamel of its surfaces',
  'not-reachable': 'reached too late',
  visits: 'its visits',
  none: 'not held',
};

/** Why the plan is as it is: what stops it as a whole, and each contact. */
export const BindsSection = memo(function BindsSection({ amounts }: { amounts: PlannedAmounts }) {
  const { plan, request, from } = amounts;
  const reach = from === 'plan' ? planReach(plan, request) : null;
  return (
    <section className="sheet__section" aria-labelledby="what-binds">
      <div className="sheet__head">
        <h3 className="sheet__title" id="what-binds">
          What binds
        </h3>
        <span className="sheet__note">select a contact for its reasons</span>
      </div>
      {reach ? (
        <ul className="binds__whole">
          <li>{unbroken(reach.text)}</li>
          {plan.goalMm > 0 && <li>{unbroken(commitmentReason(request))}</li>}
          {reach.heldBy.map(({ limit, text }) => (
            <li key={limit}>{unbroken(text)}</li>
          ))}
        </ul>
      ) : (
        <p className="sheet__note">These are your own tenths; what binds is said of them, not of the plan.</p>
      )}
      <BindsTable amounts={amounts} />
    </section>
  );
});

function BindsTable({ amounts: { plan, request } }: { amounts: PlannedAmounts }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const selected = useStore((state) => state.ui.selectedContact)?.join('-');
  return (
    <table className="grid num binds" aria-label="What binds each contact">
      <thead>
        <tr>
          <th scope="col">Contact</th>
          <th scope="col">gives</th>
          <th scope="col">of</th>
          <th scope="col">share</th>
          <th scope="col">spare</th>
          <th scope="col" className="grid__text">
            held by
          </th>
        </tr>
      </thead>
      <tbody>
        {whatBinds(plan, request).map(({ teeth, amountMm, capacityMm, share, spareMm, binds }) => (
          <tr key={teeth.join('-')} data-selected={teeth.join('-') === selected || undefined}>
            <th scope="row">
              <Button
                className="visits__contact"
                aria-label={`Reasons of contact ${contactLabel(teeth, notation)}`}
                onPress={() => selectContact(teeth)}
              >
                {contactLabel(teeth, notation)}
              </Button>
            </th>
            <td>{mm(amountMm, 1)}</td>
            <td>{mm(capacityMm, 1)}</td>
            <td>{capacityMm > 0 ? percent(share) : '–'}</td>
            <td>{binds === 'locked' ? '–' : mm(spareMm, 1)}</td>
            <td className={binds === 'none' ? 'grid__text soft' : 'grid__text'}>{BINDING_WORDS[binds]}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Limits raised on purpose, with what the plan makes of them and the reason given; on screen and on paper. */
export function ExceededLimits({ amounts, title }: { amounts: PlannedAmounts; title: 'h3' | 'h4' }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const exceeded = exceededLimits(amounts.plan, amounts.limits);
  if (exceeded.length === 0) return null;
  const Title = title;
  return (
    <section className="sheet__section exceeded" aria-label="Limits exceeded on purpose">
      <Title className="sheet__title">Limits exceeded on purpose</Title>
      <ul>
        {exceeded.map(({ teeth, text, plannedMm }) => (
          <li key={teeth.join('-')}>
            <b>{contactLabel(teeth, notation)}</b>, {fixed(plannedMm, 1)}&nbsp;mm planned: {text}
          </li>
        ))}
      </ul>
    </section>
  );
}
