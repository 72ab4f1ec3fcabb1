import { DialogSheet, TextButton } from '../design/controls.tsx';
import { showDialog, useDialog } from '../topbar/dialogStore.ts';
import { openSample, openSampleCase, SAMPLES } from './samples.ts';

/** Sample arches shipped with the page: made by the project, their true sizes known. */
export function SamplesDialog() {
  const open = useDialog((state) => state.open === 'samples');
  const close = (): void => showDialog(null);
  return (
    <DialogSheet title="Sample arches" open={open} onClose={close}>
      <p className="soft">
        Generated arches, no patient’s. Their true sizes are known, so a measurement can be checked against
        them.
      </p>
      {SAMPLES.length === 0 && <p>No samples were shipped with this copy.</p>}
      <table className="grid">
        <tbody>
          {SAMPLES.map((sample) => (
            <tr key={sample.id}>
              <th scope="row">{sample.title}</th>
              <td>
                <TextButton
                  small
                  onPress={() => {
                    close();
                    void openSample(sample);
                  }}
                >
                  Open the scan
                </TextButton>{' '}
                {sample.caseUrl && (
                  <TextButton
                    small
                    onPress={() => {
                      close();
                      void openSampleCase(sample);
                    }}
                  >
                    Open measured
                  </TextButton>
                )}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <div className="dialog__actions">
        <TextButton onPress={close}>Close</TextButton>
      </div>
    </DialogSheet>
  );
}
