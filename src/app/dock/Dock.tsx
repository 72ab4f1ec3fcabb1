import { type Contact, jawOf } from '../../core/base/tooth.ts';
import { whatBinds } from '../../core/reduction/whatBinds.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { type PlannedAmounts, usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { mm } from '../format.ts';
import { flagsOf } from '../ledger/TeethPanel.tsx';
import { sameContact } from '../state/archEdits.ts';
import { useFollowUpOnShow } from '../state/onShow.ts';
import { useStore } from '../store.ts';
import { ContactInspector } from './ContactInspector.tsx';
import { ToothInspector } from './ToothInspector.tsx';

/** Why so much is taken at a contact: the limit that stops the plan there, or the user's own figure beside the plan's. */
function whyThere({ from, plan, request, exactPlan }: PlannedAmounts, contact: Contact): string | null {
  if (from === 'plan')
    return whatBinds(plan, request).find((b) => sameContact(b.teeth, contact))?.text ?? null;
  const exact = exactPlan?.contacts.find((c) => sameContact(c.teeth, contact));
  return exact ? `Your own amount; the plan has ${mm(exact.totalMm, 1)}\u00a0mm.` : 'Your own amount.';
}

/** What is selected, in full: a contact, a tooth, or nothing. */
export function Dock() {
  const jaw = useStore((state) => state.activeJaw);
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  const contact = useStore((state) => state.ui.selectedContact);
  const tooth = useStore((state) => state.ui.selectedTooth);
  const account = useArchAccount(jaw);
  const amounts = usePlannedAmounts(jaw);
  const isLater = useFollowUpOnShow(jaw) !== null;
  if (!record || !account) return null;
  if (contact && jawOf(contact[0]) === jaw) {
    const planned = amounts?.plan.contacts.find((c) => sameContact(c.teeth, contact));
    return (
      <ContactInspector
        key={contact.join('-')}
        record={record}
        teeth={contact}
        measure={account.measures.contacts.find((c) => sameContact(c.teeth, contact)) ?? null}
        planned={planned ?? null}
        limits={account.asked?.limits.find((c) => sameContact(c.teeth, contact)) ?? null}
        why={amounts && whyThere(amounts, contact)}
      />
    );
  }
  // The marks of a later scan are confirmed and deleted where they are: over the arch.
  if (tooth !== null && jawOf(tooth) === jaw && !isLater)
    return (
      <ToothInspector
        key={tooth}
        record={record}
        tooth={tooth}
        measure={account.measures.teeth.find((m) => m.tooth === tooth) ?? null}
        flags={flagsOf(account.measures, tooth)}
      />
    );
  return null;
}
