import { CAUTIONS } from '../../core/reduction/cautions.ts';
import { DialogSheet, TextButton } from '../design/controls.tsx';
import { unbroken } from '../format.ts';
import { showDialog, useDialog } from './dialogStore.ts';

export function AboutDialog() {
  const open = useDialog((state) => state.open === 'about');
  const close = (): void => showDialog(null);
  return (
    <DialogSheet title="Archledger" open={open} onClose={close} wide>
      <div>
        <p>
          Measures a dental arch on a surface scan, accounts for every tenth of a millimetre of space, and
          plans how much enamel may be taken between which teeth, and when.
        </p>
        <p>
          Scans and cases stay in this browser on this computer. Nothing is sent anywhere; exported files
          carry nothing that identifies a person unless you typed it in.
        </p>
      </div>
      <section className="caution" aria-labelledby="about-cautions">
        <h3 id="about-cautions">Cautions</h3>
        <ul>
          {CAUTIONS.map((caution) => (
            <li key={caution.id}>{unbroken(caution.text)}</li>
          ))}
        </ul>
      </section>
      <div>
        <p>
          Every number opens into its source. How far a source can be trusted is said in words: published,
          seen in a secondary source, from memory and unverified, or common practice without a source.
        </p>
        <p className="soft">MIT licence.</p>
      </div>
      <div className="dialog__actions">
        <TextButton onPress={close}>Close</TextButton>
      </div>
    </DialogSheet>
  );
}
