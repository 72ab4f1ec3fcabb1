import { Group } from 'react-aria-components';
import { type Jaw, toothLabel } from '../../core/base/tooth.ts';
import { NumberInput, Segments, TextButton } from '../design/controls.tsx';
import { toothName } from '../format.ts';
import { setScene, useScene } from '../scene/sceneStore.ts';
import { useArch, useStore } from '../store.ts';
import { correctCrown, withoutAny } from './correctCrown.ts';
import { BRUSH_MM, endCrownTool } from './crownPurpose.ts';

/** Correcting the crown of the selected tooth: what click and brush do, and how wide the brush is. */
export function CrownPanel({ jaw }: { jaw: Jaw }) {
  const { tool, brush, brushMm } = useScene();
  const record = useArch(jaw);
  const notation = useStore((state) => state.caseDocument.notation);
  const tooth = useStore((state) => state.ui.selectedSite?.tooth ?? state.ui.selectedTooth);
  if (tool !== 'crown' || !record) return null;
  return (
    <Group className="scene__panel scene__panel_frame" aria-label="Correct crown">
      <p className="scene__hint">
        {tooth === null ? (
          'Choose a tooth in the chart.'
        ) : (
          <>
            Click: this is <strong title={toothName(tooth)}>{toothLabel(tooth, notation)}</strong>. Drag on
            the surface: brush.
          </>
        )}
      </p>
      <Segments
        small
        label="What the brush does; Alt held: the other way"
        choices={[
          { id: 'add', label: 'Add' },
          { id: 'take', label: 'Take away' },
        ]}
        value={brush}
        onChange={(next) => setScene({ brush: next })}
      />
      <NumberInput
        label="Brush radius"
        labelHidden
        value={brushMm}
        min={BRUSH_MM.least}
        max={BRUSH_MM.most}
        step={BRUSH_MM.step}
        onChange={(next) => next !== null && setScene({ brushMm: next })}
      />
      <span className="scene__pair">
        <TextButton
          small
          isDisabled={tooth === null || !record.crownCorrections}
          onPress={() => tooth !== null && void correctCrown(jaw, tooth, withoutAny)}
        >
          All as found
        </TextButton>
        <TextButton small tone="strong" onPress={() => endCrownTool()}>
          Done
        </TextButton>
      </span>
    </Group>
  );
}
