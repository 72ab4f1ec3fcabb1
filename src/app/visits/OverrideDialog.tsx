import { useState } from 'react';
import type { Jaw } from '../../core/base/tooth.ts';
import { DialogSheet, TextButton, TextInput } from '../design/controls.tsx';
import { showRefusal } from '../files/openScan.ts';
import { keepVersion } from '../files/session.ts';
import { fixed, sd } from '../format.ts';
import { actions } from '../store.ts';
import { useVisitAccount } from './useVisitAccount.ts';
import { withOverride } from './visitEdits.ts';
import { showVisitDialog } from './visitsStore.ts';

/** The word for cutting where space is in excess, with its reason on record. */
export function OverrideDialog({ jaw }: { jaw: Jaw }) {
  const account = useVisitAccount(jaw);
  const [reason, setReason] = useState('');
  const close = (): void => showVisitDialog(null);
  if (!account) return null;
  const { needed } = account.balance;
  return (
    <DialogSheet title="Allow cutting in spite of the excess" open onClose={close} role="alertdialog">
      <div>
        <p>
          There are {fixed(Math.max(0, -needed.valueMm))}&nbsp;mm {sd(needed.sdMm)} too much space in this
          arch. Every tenth cut now makes the gap wider. Enamel that is taken does not grow back.
        </p>
        <p className="soft">
          Nothing is planned by it; it lets cuts be recorded, and stands until the next follow-up scan. The
          reason is kept with the case and printed.
        </p>
      </div>
      <TextInput label="Reason" value={reason} onChange={setReason} />
      <div className="dialog__actions">
        <TextButton tone="strong" onPress={close}>
          Do not cut
        </TextButton>
        <TextButton
          isDisabled={reason.trim() === ''}
          onPress={() => {
            actions().editVisits(jaw, (record) =>
              withOverride(record, {
                givenAt: new Date().toISOString(),
                reason: reason.trim(),
                followUps: account.followUps.length,
                neededMm: needed.valueMm,
                neededSdMm: needed.sdMm,
              }),
            );
            keepVersion('Cutting allowed in excess').catch((error: unknown) =>
              showRefusal(error, 'The reason is on the page but was not saved'),
            );
            actions().announce('Cutting allowed; the reason is on record.');
            close();
          }}
        >
          Allow and record the reason
        </TextButton>
      </div>
    </DialogSheet>
  );
}
