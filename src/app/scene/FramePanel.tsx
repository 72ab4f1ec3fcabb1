import { Group } from 'react-aria-components';
import type { FrameAxis } from '../../core/arch/turnFrame.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import { Segments, TextButton } from '../design/controls.tsx';
import { useArch } from '../store.ts';
import type { SceneCommands } from './sceneCommands.ts';
import { useScene } from './sceneStore.ts';

const STEP_RAD = Math.PI / 180;

const STEPS: readonly {
  readonly name: string;
  readonly axis: FrameAxis;
  readonly minus: string;
  readonly plus: string;
}[] = [
  { name: 'Turn', axis: 'occlusal', minus: '↻ 1°', plus: '↺ 1°' },
  { name: 'Front', axis: 'sideways', minus: '▾ 1°', plus: '▴ 1°' },
  { name: 'Sides', axis: 'forward', minus: '◂ 1°', plus: '▸ 1°' },
];

const PICKS = ['the right last molar', 'the left last molar', 'an incisor'];

/** Setting the arch upright by hand: handles and steps, or three points on the occlusal plane. */
export function FramePanel({ jaw, commands }: { jaw: Jaw; commands: SceneCommands }) {
  const { tool, pickedCount } = useScene();
  const record = useArch(jaw);
  if (tool === 'mark' || !record) return null;
  return (
    <Group className="scene__panel scene__panel_frame" aria-label="Set upright">
      <Segments
        small
        label="How to set the arch upright"
        choices={[
          { id: 'turn-frame', label: 'Turn' },
          { id: 'three-points', label: 'Three points' },
        ]}
        value={tool}
        onChange={(next) => commands.startFrameTool(next)}
      />
      {tool === 'turn-frame' ? (
        <>
          <p className="scene__hint">Drag a handle, or turn in steps. The measures follow.</p>
          {STEPS.map(({ name, axis, minus, plus }) => (
            <span key={axis} className="scene__pair">
              <span className="field__label scene__step-name">{name}</span>
              <TextButton
                small
                aria-label={`${name}, one degree back`}
                onPress={() => commands.turnFrameBy(axis, -STEP_RAD)}
              >
                {minus}
              </TextButton>
              <TextButton
                small
                aria-label={`${name}, one degree on`}
                onPress={() => commands.turnFrameBy(axis, STEP_RAD)}
              >
                {plus}
              </TextButton>
            </span>
          ))}
        </>
      ) : (
        <p className="scene__hint" aria-live="polite">
          Point {pickedCount + 1} of 3: click the top of <strong>{PICKS[pickedCount]}</strong>.
        </p>
      )}
      <span className="scene__pair">
        <TextButton small onPress={() => commands.resetFrame()} isDisabled={record.frameSource === 'found'}>
          As found
        </TextButton>
        <TextButton small tone="strong" onPress={() => commands.endFrameTool()}>
          Done
        </TextButton>
      </span>
    </Group>
  );
}
