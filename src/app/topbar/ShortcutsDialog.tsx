import { DialogSheet, TextButton } from '../design/controls.tsx';
import { showDialog, useDialog } from './dialogStore.ts';
import { SHORTCUTS } from './useShortcuts.ts';

const HERE: readonly (readonly [string, string])[] = [
  ['← →', 'On the strip: from tooth to contact to tooth'],
  ['↑ ↓', 'On a contact of the strip: a tenth more, a tenth less'],
  ['Enter', 'On the strip or chart: select'],
  ['← → ↑ ↓', 'On the tooth chart: from tooth to tooth'],
  ['M, U, P', 'On the tooth chart: missing, unerupted, present'],
  ['?', 'In the 3D view: the keys for looking and marking'],
];

const onMac = /Mac|iPhone|iPad/.test(navigator.userAgent);
const shownKeys = (keys: string): string => (onMac ? keys.replace('Ctrl', '⌘') : keys);

export function ShortcutsDialog() {
  const open = useDialog((state) => state.open === 'shortcuts');
  const close = (): void => showDialog(null);
  return (
    <DialogSheet title="Keyboard shortcuts" open={open} onClose={close}>
      <table className="grid">
        <tbody>
          {SHORTCUTS.map(({ shown, what }) => (
            <tr key={shown}>
              <th scope="row">{what}</th>
              <td>
                <kbd>{shownKeys(shown)}</kbd>
              </td>
            </tr>
          ))}
          {HERE.map(([shown, what]) => (
            <tr key={what}>
              <th scope="row">{what}</th>
              <td>
                <kbd>{shown}</kbd>
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
