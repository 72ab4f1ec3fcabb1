import type { Contact, Jaw } from '../../core/base/tooth.ts';
import { excessWords, mostOwnSteps } from '../../core/reduction/ownAmounts.ts';
import { stepsToMm, stepsWithin } from '../../core/reduction/stepAmounts.ts';
import { archAccountOf } from '../account/useArchAccount.ts';
import { plannedAmountsOf } from '../account/usePlannedAmounts.ts';
import { contactLabel, mm } from '../format.ts';
import { sameContact } from '../state/archEdits.ts';
import { actions, useStore } from '../store.ts';

/** The steps wished at a contact: the user's own, or those of the plan in view. */
export function wishedSteps(jaw: Jaw, teeth: Contact): number {
  const own = useStore.getState().caseDocument.arches[jaw]?.ownTenths;
  const stepMm = stepOf(jaw);
  if (own) return stepsWithin(own.find((o) => sameContact(o.teeth, teeth))?.amountMm ?? 0, stepMm);
  const planned = plannedAmountsOf(jaw)?.plan.contacts.find((c) => sameContact(c.teeth, teeth));
  return stepsWithin(planned?.totalMm ?? 0, stepMm);
}

const stepOf = (jaw: Jaw): number => useStore.getState().caseDocument.arches[jaw]?.plan.stepMm ?? 0.1;

/**
 * Sets what the user wants tried at a contact, in whole steps from 0 to what can be tried there at all, and says what
 * follows from it. The first change takes the other contacts over from the plan.
 */
export function setOwnSteps(jaw: Jaw, teeth: Contact, steps: number): void {
  const { caseDocument } = useStore.getState();
  const record = caseDocument.arches[jaw];
  const opposing = caseDocument.arches[jaw === 'upper' ? 'lower' : 'upper'];
  const asked = record && archAccountOf(record, opposing)?.asked;
  const request = asked?.request;
  const contact = request?.contacts.find((c) => sameContact(c.teeth, teeth));
  const limits = asked?.limits.find((c) => sameContact(c.teeth, teeth));
  const name = `Contact ${contactLabel(teeth, caseDocument.notation)}`;
  if (!contact || !request || !limits) {
    actions().announce(`${name}: nothing can be planned here.`);
    return;
  }
  const most = mostOwnSteps(contact, limits, request);
  const next = Math.max(0, Math.min(most, steps));
  if (next === wishedSteps(jaw, teeth)) {
    const why = contact.locked ? 'it is locked' : 'its visits and its enamel hold no more';
    actions().announce(
      steps > next ? `${name}: no more can be tried, ${why}.` : `${name}: nothing is taken.`,
    );
    return;
  }
  const before = plannedAmountsOf(jaw)?.exactPlan ?? null;
  actions().setOwnTenth(jaw, before, teeth, { amountMm: stepsToMm(next, request.stepMm) });
  const after = plannedAmountsOf(jaw);
  if (!after) return;
  const planned = before?.contacts.find((c) => sameContact(c.teeth, teeth))?.totalMm ?? 0;
  const said = [
    `${name}: ${mm(stepsToMm(next, request.stepMm), 1)} mm, the plan has ${mm(planned, 1)}`,
    `in all ${mm(after.plan.plannedMm, 1)} of ${mm(request.neededMm)} mm needed`,
    excessWords(after.excesses.filter((e) => sameContact(e.teeth, teeth))).replace(/[.]$/, ''),
  ];
  actions().announce(`${said.filter((part) => part !== '').join('. ')}.`);
}

/** So many steps more or, below 0, less. */
export const changeOwnSteps = (jaw: Jaw, teeth: Contact, by: number): void =>
  setOwnSteps(jaw, teeth, wishedSteps(jaw, teeth) + by);
