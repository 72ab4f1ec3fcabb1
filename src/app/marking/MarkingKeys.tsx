import { DialogSheet, TextButton } from '../design/controls.tsx';
import { setScene, useScene } from '../scene/sceneStore.ts';

type Row = readonly [keys: readonly string[], what: string];

const MARKING: readonly Row[] = [
  [['Alt+D'], 'look at the doubtful proposals, the least sure first'],
  [['M'], 'start with the first site without a mark'],
  [['Tab', 'N'], 'next site'],
  [['Shift+Tab', 'P'], 'site before'],
  [['T'], 'another site of this tooth: mesial, distal, cusp or incisal edge'],
  [['Enter'], 'confirm a proposed mark; place one under the cross in the middle of the view'],
  [['←', '↑', '→', '↓'], 'nudge the mark 0.05 mm over the surface; with Shift 0.5 mm'],
  [['Delete'], 'delete the mark'],
  [['G'], 'snapping on or off; Alt held: the other way for one click'],
  [['Ctrl+Z', 'Ctrl+Shift+Z'], 'undo, redo'],
  [['Esc'], 'leave marking; then Tab leaves the 3D view'],
];

const CROWNS: readonly Row[] = [
  [['R'], 'correct the crown of the selected tooth, on or off'],
  [['Enter'], 'the surface under the cross is this tooth'],
  [['B', 'Alt+B'], 'brush under the cross: add, take away'],
  [['[', ']'], 'smaller or larger brush'],
  [['←', '↑', '→', '↓'], 'move the picture under the cross; with Shift farther'],
];

const LOOKING: readonly Row[] = [
  [['1', '2', '3', '4', '5'], 'occlusal, front, right, left, lingual'],
  [['0'], 'fit the arch'],
  [['C'], 'close-up of the selected site'],
  [['W', 'A', 'S', 'D'], 'turn; with Shift move'],
  [['Q', 'E'], 'roll'],
  [['+', '−'], 'zoom'],
  [['F'], 'follow the site being marked, on or off'],
  [['L'], 'loupe on or off'],
  [['X', 'V'], 'section on or off; other side'],
];

const POINTING: readonly Row[] = [
  [['Click'], 'place the asked-for mark; choose a mark or a tooth'],
  [['Drag a mark'], 'move it over the surface'],
  [['Drag'], 'turn; right button or Shift: move; wheel: zoom'],
  [['Two fingers'], 'move, zoom and roll'],
];

function Rows({ title, rows }: { title: string; rows: readonly Row[] }) {
  return (
    <section>
      <h3 className="scene__keys-title">{title}</h3>
      <dl className="scene__keys">
        {rows.map(([keys, what]) => (
          <div key={what} className="scene__key">
            <dt>
              {keys.map((key) => (
                <kbd key={key}>{key}</kbd>
              ))}
            </dt>
            <dd>{what}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

/** The keys of the 3D view. */
export function MarkingKeys() {
  const shown = useScene((state) => state.keysShown);
  const close = (): void => setScene({ keysShown: false });
  return (
    <DialogSheet title="Keys of the 3D view" open={shown} onClose={close} wide>
      <div className="scene__keys-grid">
        <Rows title="Marking" rows={MARKING} />
        <div className="scene__keys-column">
          <Rows title="Looking" rows={LOOKING} />
          <Rows title="Correcting crowns" rows={CROWNS} />
          <Rows title="Mouse and touch" rows={POINTING} />
        </div>
      </div>
      <div className="dialog__actions">
        <TextButton onPress={close}>Close</TextButton>
      </div>
    </DialogSheet>
  );
}
