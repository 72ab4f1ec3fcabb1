import type { ReactNode } from 'react';
import { Dialog, DialogTrigger, Popover, ToggleButton, Toolbar } from 'react-aria-components';
import { IconButton, Segments, SwitchField, TextButton } from '../design/controls.tsx';
import { HelpIcon } from '../design/icons.tsx';
import { endCrownTool, startCrownTool } from '../proposal/crownPurpose.ts';
import { actions, useStore } from '../store.ts';
import type { ViewName } from './cameraView.ts';
import type { SceneCommands } from './sceneCommands.ts';
import { setScene, useScene } from './sceneStore.ts';

const VIEWS: readonly { readonly id: ViewName | 'free'; readonly label: string }[] = [
  { id: 'occlusal', label: 'Occlusal' },
  { id: 'front', label: 'Front' },
  { id: 'right', label: 'Right' },
  { id: 'left', label: 'Left' },
  { id: 'back', label: 'Lingual' },
];

function Toggle({
  on,
  onChange,
  children,
}: {
  on: boolean;
  onChange: (on: boolean) => void;
  children: ReactNode;
}) {
  return (
    <ToggleButton className="button button_small scene__toggle" isSelected={on} onChange={onChange}>
      {children}
    </ToggleButton>
  );
}

/** A tool's name, of which the second word is enough where the row is narrow. */
const TwoWords = ({ first, second }: { first: string; second: string }) => (
  <span>
    <span className="scene__long">{first} </span>
    <span className="scene__short">{second}</span>
  </span>
);

/** Views and what is shown, over the top edge of the scene. */
export function SceneTools({
  commands,
  hasColors,
  isLater,
}: {
  commands: SceneCommands;
  hasColors: boolean;
  isLater: boolean; // crowns and frame are those of the first scan
}) {
  const { view, follow, flat, relief, scanColors, crownsTinted, snapping, tool } = useScene();
  const loupeOn = useStore((state) => state.ui.loupeOn);
  const clip = useStore((state) => state.ui.clip);
  const marksShown = useStore((state) => state.ui.marksShown);
  return (
    <Toolbar className="scene__tools" aria-label="View and tools">
      <span className="scene__group">
        <Segments
          small
          label="Look from"
          choices={VIEWS as readonly { id: ViewName; label: string }[]}
          value={(view ?? 'free') as ViewName}
          onChange={(name) => commands.showView(name)}
        />
        <TextButton small onPress={() => commands.fit()}>
          Fit
        </TextButton>
      </span>
      <span className="scene__group">
        <Toggle on={follow} onChange={(on) => setScene({ follow: on })}>
          Follow
        </Toggle>
        <Toggle on={loupeOn} onChange={(on) => actions().setUi({ loupeOn: on })}>
          Loupe
        </Toggle>
        <Toggle on={clip.on} onChange={() => commands.toggleSection()}>
          Section
        </Toggle>
        <DialogTrigger>
          <TextButton small>
            Show <span aria-hidden="true">▾</span>
          </TextButton>
          <Popover className="popover" offset={4}>
            <Dialog className="scene__show" aria-label="What is shown">
              <SwitchField on={marksShown} onChange={(on) => actions().setUi({ marksShown: on })}>
                Marks and tooth numbers
              </SwitchField>
              <SwitchField on={relief} onChange={(on) => setScene({ relief: on })}>
                Relief: grooves darkened
              </SwitchField>
              {!isLater && (
                <SwitchField on={crownsTinted} onChange={(on) => setScene({ crownsTinted: on })}>
                  Crowns tinted, as found on the surface
                </SwitchField>
              )}
              {hasColors && (
                <SwitchField on={scanColors} onChange={(on) => setScene({ scanColors: on })}>
                  Colours of the scan
                </SwitchField>
              )}
              <SwitchField on={flat} onChange={(on) => commands.setFlat(on)}>
                Flat: drags never turn the view
              </SwitchField>
              <SwitchField on={snapping} onChange={(on) => setScene({ snapping: on })}>
                Snap clicks to the contact point
              </SwitchField>
            </Dialog>
          </Popover>
        </DialogTrigger>
        {!isLater && (
          <>
            <Toggle on={tool === 'crown'} onChange={(on) => (on ? startCrownTool() : endCrownTool())}>
              <TwoWords first="Correct" second="crown" />
            </Toggle>
            <Toggle
              on={tool === 'turn-frame' || tool === 'three-points'}
              onChange={(on) => (on ? commands.startFrameTool('turn-frame') : commands.endFrameTool())}
            >
              <TwoWords first="Set" second="upright" />
            </Toggle>
          </>
        )}
        <IconButton small label="Keys for marking and looking" onPress={() => setScene({ keysShown: true })}>
          <HelpIcon />
        </IconButton>
      </span>
    </Toolbar>
  );
}
