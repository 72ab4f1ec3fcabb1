import { jawOf } from '../../core/base/tooth.ts';
import { whatBinds } from '../../core/reduction/whatBinds.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { usePlan } from '../account/usePlan.ts';
import { flagsOf } from '../ledger/TeethPanel.tsx';
import { sameContact } from '../state/archEdits.ts';
import { useStore } from '../store.ts';
import { ContactInspector } from './ContactInspector.tsx';
import { ToothInspector } from './ToothInspector.tsx';

/** What is selected, in full: a contact, a tooth, or nothing. */
export function Dock() {
  const jaw = useStore((state) => state.activeJaw);
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  const contact = useStore((state) => state.ui.selectedContact);
  const tooth = useStore((state) => state.ui.selectedTooth);
  const account = useArchAccount(jaw);
  const { plan, request } = usePlan(jaw);
  if (!record || !account) return null;
  if (contact && jawOf(contact[0]) === jaw) {
    const planned = account.asked ? plan?.contacts.find((c) => sameContact(c.teeth, contact)) : null;
    const binding =
      plan && request ? whatBinds(plan, request).find((b) => sameContact(b.teeth, contact)) : null;
    return (
      <ContactInspector
        key={contact.join('-')}
        record={record}
        teeth={contact}
        measure={account.measures.contacts.find((c) => sameContact(c.teeth, contact)) ?? null}
        planned={planned ?? null}
        limits={account.asked?.limits.find((c) => sameContact(c.teeth, contact)) ?? null}
        why={binding?.text ?? null}
      />
    );
  }
  if (tooth !== null && jawOf(tooth) === jaw)
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
