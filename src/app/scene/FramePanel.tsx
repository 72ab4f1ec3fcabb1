import { Group } from 'react-aria-components';
import type { FrameAxis } from '../../core/arch/turnFrame.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import { Segments, TextButton } from '../design/controls.tsx';
import { useArch } from '../store.ts';
import type { SceneCommands } from './sceneCommands.ts';
import { useScene } from './sceneStore.ts';

const STEP_RAD = Math.PI / 180;

interface Step {
  readonly name: string; // as it is spoken
  readonly short: string;
  readonly axis: FrameAxis;
  readonly sign: 1 | -1;
}

/** Steps in pairs, named by what goes up; x points to the patient's right in a lower arch, left in an upper. */
const steps = (jaw: Jaw): readonly (readonly [Step, Step])[] => [
  [
    { name: 'Front up', short: 'Front ↑', axis: 'sideways', sign: 1 },
    { name: 'Front down', short: 'Front ↓', axis: 'sideways', sign: -1 },
  ],
  [
    { name: 'Right up', short: 'Right ↑', axis: 'forward', sign: jaw === 'lower' ? -1 : 1 },
    { name: 'Left up', short: 'Left ↑', axis: 'forward', sign: jaw === 'lower' ? 1 : -1 },
  ],
  [
    { name: 'Turn counter-clockwise', short: '↺', axis: 'occlusal', sign: 1 },
    { name: 'Turn clockwise', short: '↻', axis: 'occlusal', sign: -1 },
  ],
];

const PICKS = ['the right last molar', 'the left last molar', 'an incisor'];

/** Setting the arch upright by hand: handles and steps, or three points on the occlusal plane. */
export function FramePanel({ jaw, commands }: { jaw: Jaw; commands: SceneCommands }) {
  const { tool, pickedCount } = useScene();
  const record = useArch(jaw);
  if (tool === 'mark' || tool === 'crown' || !record) return null;
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
          <p className="scene__hint scene__hint_wide">Drag a handle, or tip the plane by 1° a step.</p>
          <div className="scene__steps">
            {steps(jaw)
              .flat()
              .map(({ name, short, axis, sign }) => (
                <TextButton
                  key={name}
                  small
                  aria-label={`${name} by 1°`}
                  onPress={() => commands.turnFrameBy(axis, sign * STEP_RAD)}
                >
                  {short}
                </TextButton>
              ))}
          </div>
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
