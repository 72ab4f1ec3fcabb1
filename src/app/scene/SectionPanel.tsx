import { Group, Label, Slider, SliderOutput, SliderThumb, SliderTrack } from 'react-aria-components';
import { toothLabel } from '../../core/base/tooth.ts';
import { Segments, TextButton } from '../design/controls.tsx';
import { fixed } from '../format.ts';
import { actions, useStore } from '../store.ts';
import { setScene, useScene } from './sceneStore.ts';

const REACH_MM = 6;

/** Which way the cut goes, where it lies and which side is taken away. */
export function SectionPanel() {
  const clip = useStore((state) => state.ui.clip);
  const site = useStore((state) => state.ui.selectedSite);
  const contact = useStore((state) => state.ui.selectedContact);
  const notation = useStore((state) => state.caseDocument.notation);
  const { section, sectionFlipped } = useScene();
  if (!clip.on) return null;
  const sides =
    section === 'along'
      ? ([
          { id: 'plain', label: 'Outer side' },
          { id: 'flipped', label: 'Inner side' },
        ] as const)
      : ([
          { id: 'plain', label: contact ? toothLabel(contact[0], notation) : 'Neighbour' },
          { id: 'flipped', label: contact ? toothLabel(contact[1], notation) : 'This tooth' },
        ] as const);
  return (
    <Group className="scene__panel scene__panel_section" aria-label="Section">
      <Segments
        small
        label="Direction of the cut"
        choices={[
          { id: 'along', label: 'Along the arch' },
          { id: 'across', label: 'Between teeth' },
        ]}
        value={section}
        onChange={(kind) => setScene({ section: kind })}
      />
      <span className="scene__pair">
        <span className="field__label">Hide</span>
        <Segments
          small
          label="Side taken away"
          choices={sides}
          value={sectionFlipped ? 'flipped' : 'plain'}
          onChange={(side) => setScene({ sectionFlipped: side === 'flipped' })}
        />
      </span>
      <Slider
        className="scene__slider"
        minValue={-REACH_MM}
        maxValue={REACH_MM}
        step={0.05}
        value={clip.offsetMm}
        onChange={(offsetMm) => actions().setUi({ clip: { on: true, offsetMm: Number(offsetMm) } })}
      >
        <Label className="field__label">Position</Label>
        <SliderTrack className="slider__track scene__track">
          <SliderThumb className="slider__thumb" />
        </SliderTrack>
        <SliderOutput className="num">{`${fixed(clip.offsetMm, 2)}\u00a0mm`}</SliderOutput>
      </Slider>
      <TextButton small tone="plain" onPress={() => actions().setUi({ clip: { on: true, offsetMm: 0 } })}>
        Centre
      </TextButton>
      {!site && !contact && <p className="scene__hint">Select a contact or a site to cut through it.</p>}
    </Group>
  );
}
