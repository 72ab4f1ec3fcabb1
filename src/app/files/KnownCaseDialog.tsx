import { DialogSheet, TextButton } from '../design/controls.tsx';
import { dayAndTime } from '../format.ts';
import { openAsCopy, openInPlace } from './caseFiles.ts';
import { setFiles, useFiles } from './fileStore.ts';
import { openKeptCase } from './session.ts';

/** A case file whose case is kept in this browser already: which of the two is to stand, or both. */
export function KnownCaseDialog() {
  const known = useFiles((state) => state.knownCase);
  const close = (): void => setFiles({ knownCase: null });
  const then = (run: () => Promise<void>) => () => {
    close();
    void run();
  };
  return (
    <DialogSheet title="This case is kept here already" open={known !== null} onClose={close} wide>
      {known && (
        <>
          <div>
            <p>
              <b>{known.fileName}</b> holds the case “{known.document.title || 'Untitled case'}”. This browser
              keeps the same case, “{known.kept.title || 'Untitled case'}”, saved{' '}
              {dayAndTime(new Date(known.kept.savedAt))}. The two may differ.
            </p>
            <p className="soft">
              Opening the file in its place discards what was changed here since. Keeping both opens the file
              as a copy of its own.
            </p>
          </div>
          <div className="dialog__actions">
            <TextButton tone="plain" onPress={close}>
              Cancel
            </TextButton>
            <TextButton onPress={then(() => openInPlace(known))}>File in its place</TextButton>
            <TextButton onPress={then(() => openAsCopy(known))}>Keep both</TextButton>
            <TextButton tone="strong" autoFocus onPress={then(() => openKeptCase(known.kept.id))}>
              Open the kept one
            </TextButton>
          </div>
        </>
      )}
    </DialogSheet>
  );
}
