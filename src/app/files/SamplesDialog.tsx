import { DialogSheet, TextButton } from '../design/controls.tsx';
import { jawName } from '../format.ts';
import { showDialog, useDialog } from '../topbar/dialogStore.ts';
import { sampleTitle } from './sampleNames.ts';
import { openSample, openSampleCase, SAMPLE_CASES, SAMPLES } from './samples.ts';

/** Sample arches shipped with the page: made by the project, their true sizes known. */
export function SamplesDialog() {
  const open = useDialog((state) => state.open === 'samples');
  const close = (): void => showDialog(null);
  const pick = (run: () => Promise<unknown>) => () => {
    close();
    void run();
  };
  const casesApart = SAMPLE_CASES.filter(({ name }) => !SAMPLES.some((sample) => sample.name === name));
  return (
    <DialogSheet title="Sample arches" open={open} onClose={close} wide>
      <p className="soft">
        Generated arches, no patient’s. Their true sizes are known, so a measurement can be checked against
        them. A scan opens into its jaw of the case at hand; a measured case takes its place.
      </p>
      {SAMPLES.length === 0 && <p>No samples were shipped with this copy.</p>}
      <table className="grid">
        <tbody>
          {SAMPLES.map((sample) => {
            const measured = SAMPLE_CASES.find(({ name }) => name === sample.name);
            return (
              <tr key={sample.name}>
                <th scope="row">{sampleTitle(sample.name)}</th>
                <td className="grid__text">{sample.shows}</td>
                <td>
                  {measured && (
                    <TextButton
                      small
                      aria-label={`Open ${sample.name} measured`}
                      onPress={pick(() => openSampleCase(measured))}
                    >
                      Measured
                    </TextButton>
                  )}{' '}
                  <TextButton
                    small
                    aria-label={`Open the scan ${sample.name}, ${jawName(sample.jaw).toLowerCase()}`}
                    onPress={pick(() => openSample(sample))}
                  >
                    Scan
                  </TextButton>
                </td>
              </tr>
            );
          })}
          {casesApart.map((sampleCase) => (
            <tr key={sampleCase.name}>
              <th scope="row">{sampleTitle(sampleCase.name)}</th>
              <td className="grid__text">A whole case, measured.</td>
              <td>
                <TextButton
                  small
                  aria-label={`Open ${sampleCase.name} measured`}
                  onPress={pick(() => openSampleCase(sampleCase))}
                >
                  Measured
                </TextButton>
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
