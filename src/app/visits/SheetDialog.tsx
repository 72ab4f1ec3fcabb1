import type { Jaw } from '../../core/base/tooth.ts';
import { DialogSheet, TextButton } from '../design/controls.tsx';
import { printSheets } from '../print/printStore.ts';
import { VisitSheet } from './VisitSheet.tsx';
import { showVisitDialog } from './visitsStore.ts';

/** The visit sheet on the screen of a tablet, to work from or to print. */
export function SheetDialog({ jaw, visit }: { jaw: Jaw; visit: number }) {
  const close = (): void => showVisitDialog(null);
  return (
    <DialogSheet title="Visit sheet" open onClose={close} wide>
      <VisitSheet jaw={jaw} visit={visit} />
      <div className="dialog__actions">
        <TextButton tone="plain" onPress={close}>
          Close
        </TextButton>
        <TextButton onPress={() => printSheets({ sheets: ['visit'], jaw, visit })}>Print</TextButton>
        <TextButton tone="strong" onPress={() => showVisitDialog({ kind: 'record', jaw, visit })}>
          Record visit {visit}…
        </TextButton>
      </div>
    </DialogSheet>
  );
}
