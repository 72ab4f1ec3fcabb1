import type { ReactNode } from 'react';
import type { Contact } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { excessWords, mostOwnSteps, type OwnExcess } from '../../core/reduction/ownAmounts.ts';
import type { ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { stepsToMm, stepsWithin } from '../../core/reduction/stepAmounts.ts';
import type { PlannedAmounts } from '../account/usePlannedAmounts.ts';
import { type Ratios, useRatios } from '../account/useRatios.ts';
import { IconButton, TextInput } from '../design/controls.tsx';
import { MinusIcon, PlusIcon } from '../design/icons.tsx';
import { contactLabel, fixed, mm, percent, sd, signed } from '../format.ts';
import { sameContact } from '../state/archEdits.ts';
import { actions, useStore } from '../store.ts';
import { BackToPlan } from './BackToPlan.tsx';
import './OwnTenthsBar.css';
import { changeOwnSteps } from './ownSteps.ts';

/** The user's own tenths against the exact plan: what they come to, what they do not keep, and the way back. */
export function OwnTenthsBar({ record, amounts }: { record: ArchRecord; amounts: PlannedAmounts | null }) {
  if (!record.ownTenths || !amounts) return null;
  return (
    <section className="tenths" aria-label="My tenths">
      <Compared record={record} amounts={amounts} />
      <Excesses record={record} amounts={amounts} />
      <BackToPlan jaw={record.jaw} />
    </section>
  );
}

/** The tenths of the selected contact, where a plan may use it. */
export function SelectedSteps({
  record,
  request,
  amounts,
}: {
  record: ArchRecord;
  request: ReductionRequest;
  amounts: PlannedAmounts | null;
}) {
  const selected = useStore((state) => state.ui.selectedContact);
  const contact = selected && request.contacts.find((c) => sameContact(c.teeth, selected));
  if (!contact) return null;
  return <ContactSteps record={record} request={request} amounts={amounts} teeth={contact.teeth} />;
}

/** One contact's amount with a button for a tenth more and one for a tenth less. */
function ContactSteps({
  record,
  request,
  amounts,
  teeth,
}: {
  record: ArchRecord;
  request: ReductionRequest;
  amounts: PlannedAmounts | null;
  teeth: Contact;
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  const name = contactLabel(teeth, notation);
  const asked = request.contacts.find((c) => sameContact(c.teeth, teeth));
  const own = record.ownTenths?.find((o) => sameContact(o.teeth, teeth));
  const inForce = amounts?.plan.contacts.find((c) => sameContact(c.teeth, teeth))?.totalMm ?? 0;
  const exact = amounts?.exactPlan?.contacts.find((c) => sameContact(c.teeth, teeth))?.totalMm ?? 0;
  const wishedMm = record.ownTenths ? (own?.amountMm ?? 0) : inForce;
  const steps = stepsWithin(wishedMm, request.stepMm);
  const limits = amounts?.limits.find((c) => sameContact(c.teeth, teeth));
  const most = asked && limits ? mostOwnSteps(asked, limits, request) : 0;
  return (
    <fieldset className="tenths__contact">
      <legend className="visually-hidden">Tenths of contact {name}</legend>
      <span>
        <b>{name}</b>
      </span>
      <IconButton
        small
        label={`${mm(request.stepMm, 1)}\u00a0mm less at ${name}`}
        isDisabled={steps === 0}
        onPress={() => changeOwnSteps(record.jaw, teeth, -1)}
      >
        <MinusIcon />
      </IconButton>
      <output className="num tenths__amount">{mm(stepsToMm(steps, request.stepMm), 1)}&nbsp;mm</output>
      <IconButton
        small
        label={`${mm(request.stepMm, 1)}\u00a0mm more at ${name}`}
        isDisabled={steps >= most}
        onPress={() => changeOwnSteps(record.jaw, teeth, 1)}
      >
        <PlusIcon />
      </IconButton>
      <span className="soft num">plan {mm(exact, 1)}</span>
    </fieldset>
  );
}

/** Own tenths and plan, row by row. */
function Compared({ record, amounts }: { record: ArchRecord; amounts: PlannedAmounts }) {
  const ratios = useRatios();
  const { plan, exactPlan, request } = amounts;
  return (
    <div className="tenths__table">
      <table className="num">
        <caption className="visually-hidden">
          My tenths and the plan, {record.jaw} arch; needed {mm(request.neededMm)}&nbsp;mm
        </caption>
        <thead>
          <tr>
            <th scope="col">
              needed {mm(request.neededMm)} {sd(request.neededSdMm)}&nbsp;mm
            </th>
            <th scope="col">taken</th>
            <th scope="col">held back</th>
            <th scope="col">of {mm(plan.goalMm, 1)} goal</th>
            <th scope="col">left at the end</th>
            <th scope="col">gap</th>
            <th scope="col">jamming</th>
            {ratios && (
              <>
                <th scope="col">ratio 6–6</th>
                <th scope="col">3–3</th>
              </>
            )}
          </tr>
        </thead>
        <tbody>
          <Row name="my tenths" plan={plan} ratios={ratios && (ratios.planned ?? ratios.now)} strong />
          {exactPlan && <Row name="the plan" plan={exactPlan} ratios={ratios?.exact ?? null} />}
        </tbody>
      </table>
    </div>
  );
}

function Row({
  name,
  plan,
  ratios,
  strong = false,
}: {
  name: string;
  plan: ReductionPlan;
  ratios: Ratios | null;
  strong?: boolean;
}) {
  const { residualMeanMm, residualSdMm, chanceGap, chanceJam } = plan.forecast;
  const overMm = plan.plannedMm - plan.goalMm;
  const cell = (content: ReactNode) => <td>{content}</td>;
  return (
    <tr className={strong ? 'tenths__own' : undefined}>
      <th scope="row">{name}</th>
      {cell(mm(plan.plannedMm, 1))}
      {cell(mm(plan.heldBackMm, 1))}
      {cell(
        overMm > 1e-9 ? (
          <span className="tenths__say">{mm(overMm, 1)} above</span>
        ) : (
          `${mm(plan.shortMm, 1)} short`
        ),
      )}
      {cell(
        <>
          {signed(residualMeanMm)} <span className="soft">{sd(residualSdMm)}</span>
        </>,
      )}
      {cell(percent(chanceGap))}
      {cell(percent(chanceJam))}
      {ratios && (
        <>
          {cell(ratios.overall.percent === null ? '–' : fixed(ratios.overall.percent, 1))}
          {cell(ratios.anterior.percent === null ? '–' : fixed(ratios.anterior.percent, 1))}
        </>
      )}
    </tr>
  );
}

/** Limits that own amounts do not keep, named, each with its reason where one can let it stand. */
function Excesses({ record, amounts }: { record: ArchRecord; amounts: PlannedAmounts }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const byContact = new Map<string, OwnExcess[]>();
  for (const excess of amounts.excesses) {
    const key = excess.teeth.join('-');
    byContact.set(key, [...(byContact.get(key) ?? []), excess]);
  }
  if (byContact.size === 0) return null;
  return (
    <ul className="tenths__excesses" aria-label="Limits that my tenths do not keep">
      {[...byContact].map(([key, excesses]) => {
        const { teeth } = excesses[0];
        const own = record.ownTenths?.find((o) => sameContact(o.teeth, teeth));
        const name = contactLabel(teeth, notation);
        const asks = excesses.some(({ limit }) => limit === 'contact-limit' || limit === 'surface-limits');
        return (
          <li key={key}>
            <p>
              <b>{name}</b> {excessWords(excesses)}
            </p>
            {asks && (
              <TextInput
                label={`Reason for ${name} above its limit`}
                labelHidden
                placeholder="reason, kept with the case and printed"
                value={own?.reason ?? ''}
                onChange={(reason) => actions().setOwnTenth(record.jaw, null, teeth, { reason })}
              />
            )}
          </li>
        );
      })}
    </ul>
  );
}
