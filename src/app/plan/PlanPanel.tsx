import { memo, useDeferredValue } from 'react';
import { Button } from 'react-aria-components';
import type { ArchAccount } from '../../core/casefile/archAccount.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { PLAN_DEFAULT_SOURCES } from '../../core/casefile/planDefaults.ts';
import { cautionsAt } from '../../core/reduction/cautions.ts';
import type { ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { whatBinds } from '../../core/reduction/whatBinds.ts';
import { planAgain, usePlan } from '../account/usePlan.ts';
import { usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { NumberInput, TextButton } from '../design/controls.tsx';
import { contactLabel, fixed, mm, STANDING_WORDS, sd, sentence, unbroken } from '../format.ts';
import { proposedCount } from '../state/archEdits.ts';
import { actions, useStore } from '../store.ts';
import { OwnInForce } from '../strip/OwnInForce.tsx';
import { selectContact } from '../strip/select.ts';
import { BindsSection, ExceededLimits } from './BindsSection.tsx';
import { EnamelSection } from './EnamelSection.tsx';
import { ForecastView } from './ForecastView.tsx';
import { heldByVisit } from './heldByVisit.ts';
import { SidesSection } from './SidesSection.tsx';
import { TogetherSection } from './TogetherSection.tsx';
import './plan.css';

/** What the plan comes to, in one sentence. */
function planStatus(plan: ReductionPlan): { readonly word: string; readonly more: string } {
  if (plan.status === 'none')
    return {
      word: 'Nothing to take',
      more: 'The account shows no shortage of a whole step; no enamel is to be cut.',
    };
  const held =
    plan.heldBackMm > 0
      ? ` ${mm(plan.heldBackMm, 1)}\u00a0mm of it is held back until a re-measurement shows that it is needed.`
      : '';
  const extraMm = plan.plannedMm - plan.goalMm;
  const extra =
    extraMm > 1e-9 ? ` ${mm(extraMm, 1)}\u00a0mm of it is for the tooth-size ratio, beyond the need.` : '';
  if (plan.status === 'meets')
    return {
      word: 'The plan meets the need',
      more: `${mm(plan.plannedMm, 1)}\u00a0mm in all.${extra}${held}`,
    };
  return {
    word: `The plan falls short by ${mm(plan.shortMm, 1)}\u00a0mm`,
    more: `The limits allow ${mm(plan.plannedMm, 1)} of ${mm(plan.goalMm, 1)}\u00a0mm.${held} The rest must come from elsewhere: allowances, higher limits with a reason, or another way of gaining space.`,
  };
}

/** The reduction plan of one arch with its settings, visits, forecast, and what stops each contact. */
export function PlanPanel({ record, account }: { record: ArchRecord; account: ArchAccount }) {
  const { plan, request, refusal, working } = usePlan(record.jaw);
  const amounts = usePlannedAmounts(record.jaw);
  /** For what is dear to work out: the strip and the sums are drawn first, a held key never waits for it. */
  const late = useDeferredValue(amounts);
  const shownRefusal = account.notAsked ?? refusal;
  return (
    <div className={working ? 'sheet busy' : 'sheet'} aria-busy={working}>
      {shownRefusal && (
        <section className="sheet__section" aria-label="Why there is no plan">
          <p className="status__word">No plan yet</p>
          <p>{shownRefusal.message.replace(/^\w+: /, '')}</p>
          {shownRefusal.code === 'worker-died' && (
            <TextButton small onPress={planAgain}>
              Plan again
            </TextButton>
          )}
        </section>
      )}
      {plan && request && !account.notAsked && <PlanSums plan={plan} request={request} />}
      {amounts && <OwnInForce record={record} amounts={amounts} />}
      <NotYetLookedAt record={record} />
      <PlanCautions />
      {plan && request && !account.notAsked && plan.status !== 'none' && (
        <section className="sheet__section" aria-labelledby="by-visit">
          <div className="sheet__head">
            <h3 className="sheet__title" id="by-visit">
              By contact and visit
            </h3>
            <span className="sheet__note">
              mm; <span className="held">held back</span>
            </span>
          </div>
          <VisitsTable plan={plan} request={request} />
        </section>
      )}
      {amounts && !account.notAsked && <ExceededLimits amounts={amounts} title="h3" />}
      {late && !account.notAsked && late.plan.status !== 'none' && <BindsSection amounts={late} />}
      <PlanSettingsForm record={record} account={account} />
      <SidesSection record={record} plan={account.notAsked ? null : (amounts?.plan ?? null)} />
      <TogetherSection jaw={record.jaw} />
      {account.asked && (
        <EnamelSection
          record={record}
          limits={amounts?.limits ?? account.asked.limits}
          plan={amounts?.plan ?? null}
        />
      )}
      {late && !account.notAsked && late.plan.status !== 'none' && (
        <ForecastView plan={late.plan} request={late.request} />
      )}
    </div>
  );
}

export function PlanSums({ plan, request }: { plan: ReductionPlan; request: ReductionRequest }) {
  const { word, more } = planStatus(plan);
  return (
    <section className="sheet__section" aria-label="Plan in sum">
      <div className="status" role="status">
        <p className="status__word">{word}</p>
        <p className="sheet__note">{more}</p>
      </div>
      <dl className="sums num">
        <div>
          <dt>needed</dt>
          <dd>
            {fixed(request.neededMm)} <span className="sums__unit">mm</span>
            <small>{sd(request.neededSdMm)}</small>
          </dd>
        </div>
        <div>
          <dt>goal</dt>
          <dd>
            {fixed(plan.goalMm, 1)} <span className="sums__unit">mm</span>
            <small>whole steps</small>
          </dd>
        </div>
        <div>
          <dt>commit</dt>
          <dd>
            {fixed(plan.commitMm, 1)} <span className="sums__unit">mm</span>
            <small>{fixed((1 - request.overshootRisk) * 100, 0)} % sure</small>
          </dd>
        </div>
        <div>
          <dt>held back</dt>
          <dd>
            {fixed(plan.heldBackMm, 1)} <span className="sums__unit">mm</span>
            <small>re-measure</small>
          </dd>
        </div>
        <div>
          <dt>short</dt>
          <dd>
            {fixed(plan.shortMm, 1)} <span className="sums__unit">mm</span>
            <small>by limits</small>
          </dd>
        </div>
      </dl>
    </section>
  );
}

/** What the plan rests on and nobody has looked at: proposed marks, a frame that was not found. */
function NotYetLookedAt({ record }: { record: ArchRecord }) {
  const proposed = proposedCount(record);
  const frameMissing = record.frameSource === 'found' && !record.frameConfidence;
  if (proposed === 0 && !frameMissing) return null;
  return (
    <p className="dock__say dock__say_strong">
      {proposed > 0 &&
        `${proposed} marks behind these numbers are only proposed; look at each before relying on the plan. `}
      {frameMissing && 'The arch frame was not found; set the arch upright before relying on the plan.'}
    </p>
  );
}

function PlanCautions() {
  return (
    <section className="caution" aria-labelledby="plan-cautions">
      <h3 id="plan-cautions">Before any enamel is cut</h3>
      <ul>
        {cautionsAt('plan').map((caution) => (
          <li key={caution.id}>{unbroken(caution.text)}</li>
        ))}
      </ul>
    </section>
  );
}

export const VisitsTable = memo(function VisitsTable({
  plan,
  request,
}: {
  plan: ReductionPlan;
  request: ReductionRequest;
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  const bindings = whatBinds(plan, request);
  const visits = Array.from({ length: request.visits }, (_, i) => i);
  const shown = plan.contacts.filter((contact, i) => contact.totalMm > 0 || request.contacts[i].locked);
  const others = plan.contacts.length - shown.length;
  return (
    <>
      <table className="visits num" aria-label="Plan by contact and visit">
        <thead>
          <tr>
            <th scope="col">Contact</th>
            {visits.map((visit) => (
              <th scope="col" key={visit}>
                visit {visit + 1}
              </th>
            ))}
            <th scope="col">of at most</th>
            <th scope="col" className="visits__total">
              total
            </th>
          </tr>
        </thead>
        <tbody>
          {shown.map((contact) => {
            const held = heldByVisit(contact);
            const binding = bindings.find(
              (b) => b.teeth === contact.teeth || b.teeth.join() === contact.teeth.join(),
            );
            return (
              <tr key={contact.teeth.join('-')}>
                <th scope="row">
                  <Button
                    className="visits__contact"
                    aria-label={`Select contact ${contactLabel(contact.teeth, notation)}`}
                    onPress={() => selectContact(contact.teeth)}
                  >
                    {contactLabel(contact.teeth, notation)}
                  </Button>
                </th>
                {visits.map((visit) => (
                  <td key={visit}>
                    <Amount amountMm={contact.byVisitMm[visit] ?? 0} heldMm={held[visit] ?? 0} />
                  </td>
                ))}
                <td className="soft">
                  {binding?.binds === 'locked' ? 'locked' : mm(binding?.capacityMm, 1)}
                </td>
                <td className="visits__total">{mm(contact.totalMm, 1)}</td>
              </tr>
            );
          })}
        </tbody>
        <tfoot>
          <tr>
            <th scope="row">Sum</th>
            {visits.map((visit) => (
              <td key={visit}>
                {mm(
                  plan.contacts.reduce((sum, contact) => sum + (contact.byVisitMm[visit] ?? 0), 0),
                  1,
                )}
              </td>
            ))}
            <td />
            <td className="visits__total">{mm(plan.plannedMm, 1)}</td>
          </tr>
        </tfoot>
      </table>
      {others > 0 && <p className="sheet__note">{others} further contacts: nothing planned.</p>}
    </>
  );
});

function Amount({ amountMm, heldMm }: { amountMm: number; heldMm: number }) {
  if (amountMm < 1e-9) return <span className="visits__none">·</span>;
  const firm = amountMm - heldMm;
  return (
    <>
      {firm > 1e-9 && mm(firm, 1)}
      {firm > 1e-9 && heldMm > 1e-9 && ' + '}
      {heldMm > 1e-9 && (
        <span className="held">
          {mm(heldMm, 1)}
          <span className="visually-hidden"> held back</span>
        </span>
      )}
    </>
  );
}

function PlanSettingsForm({ record, account }: { record: ArchRecord; account: ArchAccount }) {
  const { plan, jaw } = record;
  const shortage = account.ledger.differenceMm === null ? null : -account.ledger.differenceMm;
  return (
    <section className="sheet__section" aria-labelledby="plan-settings">
      <h3 className="sheet__title" id="plan-settings">
        What the plan is asked for
      </h3>
      <div className="settings">
        <NumberInput
          label="Needed"
          digits={2}
          step={0.01}
          value={plan.neededMm}
          placeholder={shortage === null ? '' : fixed(shortage)}
          note={plan.neededMm === null ? 'from the account' : 'your own figure'}
          onChange={(neededMm) => actions().setPlanSettings(jaw, { neededMm })}
        />
        <NumberInput
          label="Step"
          digits={2}
          step={0.05}
          min={0.05}
          max={0.5}
          value={plan.stepMm}
          note={STANDING_WORDS[PLAN_DEFAULT_SOURCES.stepMm.standing]}
          onChange={(stepMm) => stepMm && actions().setPlanSettings(jaw, { stepMm })}
        />
        <NumberInput
          label="Accepted risk of taking too much"
          unit="%"
          digits={0}
          step={1}
          min={1}
          max={50}
          value={plan.overshootRisk * 100}
          note={STANDING_WORDS[PLAN_DEFAULT_SOURCES.overshootRisk.standing]}
          onChange={(risk) => risk && actions().setPlanSettings(jaw, { overshootRisk: risk / 100 })}
        />
        <NumberInput
          label="Visits"
          unit=""
          digits={0}
          step={1}
          min={1}
          max={20}
          value={plan.visits}
          note={STANDING_WORDS[PLAN_DEFAULT_SOURCES.visits.standing]}
          onChange={(visits) => visits && actions().setPlanSettings(jaw, { visits })}
        />
        <NumberInput
          label="Most per contact and visit"
          step={0.1}
          min={0.1}
          max={1}
          value={plan.perVisitLimitMm}
          note={STANDING_WORDS[PLAN_DEFAULT_SOURCES.perVisitLimitMm.standing]}
          onChange={(limit) => limit && actions().setPlanSettings(jaw, { perVisitLimitMm: limit })}
        />
        <NumberInput
          label="SD of one mark"
          digits={2}
          step={0.01}
          min={0.01}
          max={1}
          value={record.markSdMm}
          note="along the mesiodistal direction"
          onChange={(markSdMm) => markSdMm && actions().setMarkSd(jaw, markSdMm)}
        />
      </div>
      <p className="sheet__note">
        Step: {sentence(PLAN_DEFAULT_SOURCES.stepMm.text)} Risk:{' '}
        {sentence(PLAN_DEFAULT_SOURCES.overshootRisk.text)} Per visit:{' '}
        {sentence(PLAN_DEFAULT_SOURCES.perVisitLimitMm.text)} Limits of a single contact are set where it is
        selected on the strip.
      </p>
    </section>
  );
}
