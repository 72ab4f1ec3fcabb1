import { useCallback, useEffect, useState } from 'react';
import { DialogSheet, TextButton } from '../design/controls.tsx';
import { dayAndTime } from '../format.ts';
import type { CaseSummary } from '../storage/caseStore.ts';
import { useStore } from '../store.ts';
import { showDialog, useDialog } from '../topbar/dialogStore.ts';
import { download, fileStem } from './caseFiles.ts';
import { showRefusal } from './openScan.ts';
import { deleteKeptCase, keptCases, keptText, openKeptCase } from './session.ts';

/** A kept case as a file, as it is stored: also one that cannot be opened here. */
async function saveKept({ id, title }: CaseSummary): Promise<void> {
  try {
    const text = await keptText(id);
    if (text !== null) download(`${fileStem(title)}.case.json`, text, 'application/json');
  } catch (error) {
    showRefusal(error, 'The case was not saved as a file');
  }
}

/** Cases kept in this browser: open one, or delete it for good. */
export function CasesDialog() {
  const open = useDialog((state) => state.open === 'cases');
  const atHand = useStore((state) => state.caseDocument.id);
  const [cases, setCases] = useState<readonly CaseSummary[]>([]);
  const [asking, setAsking] = useState<string | null>(null);
  const close = (): void => showDialog(null);
  const refresh = useCallback((): void => {
    keptCases().then(setCases, (error: unknown) => showRefusal(error, 'The cases could not be listed'));
  }, []);
  useEffect(() => {
    if (!open) return;
    setAsking(null);
    refresh();
  }, [open, refresh]);
  return (
    <DialogSheet title="Cases kept in this browser" open={open} onClose={close} wide>
      <p className="soft">
        Cases and their scans lie in this browser’s own storage on this computer. Clearing the browser’s data
        deletes them: save case files of what you want to keep.
      </p>
      {cases.length === 0 && <p>None yet. A case is kept from its first change on.</p>}
      {cases.length > 0 && (
        <table className="grid">
          <thead>
            <tr>
              <th scope="col">Title</th>
              <th scope="col">arches</th>
              <th scope="col">saved</th>
              <th scope="col">
                <span className="visually-hidden">actions</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {cases.map((kept) => (
              <tr key={kept.id}>
                <th scope="row">
                  {kept.title || 'Untitled case'} {kept.id === atHand && <span className="soft">(open)</span>}
                </th>
                <td>{kept.jaws.join(' and ') || 'none'}</td>
                <td>{dayAndTime(new Date(kept.savedAt))}</td>
                <td>
                  {asking === kept.id ? (
                    <>
                      <span>Delete for good? </span>
                      <TextButton small onPress={() => setAsking(null)}>
                        Keep
                      </TextButton>{' '}
                      <TextButton
                        small
                        tone="strong"
                        onPress={() => {
                          deleteKeptCase(kept.id).then(refresh, (error: unknown) =>
                            showRefusal(error, 'The case was not deleted'),
                          );
                        }}
                      >
                        Delete
                      </TextButton>
                    </>
                  ) : (
                    <>
                      <TextButton
                        small
                        isDisabled={kept.id === atHand}
                        onPress={() => {
                          close();
                          void openKeptCase(kept.id);
                        }}
                      >
                        Open
                      </TextButton>{' '}
                      <TextButton small onPress={() => void saveKept(kept)}>
                        Save as file
                      </TextButton>{' '}
                      <TextButton small onPress={() => setAsking(kept.id)}>
                        Delete…
                      </TextButton>
                    </>
                  )}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <div className="dialog__actions">
        <TextButton onPress={close}>Close</TextButton>
      </div>
    </DialogSheet>
  );
}
