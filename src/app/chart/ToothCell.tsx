import { type KeyboardEvent, memo } from 'react';
import { Button } from 'react-aria-components';
import { isRight, type Notation, positionOf, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import { toothName } from '../format.ts';
import type { ToothPresence } from '../state/archEdits.ts';

export type DotState = 'none' | 'proposed' | 'confirmed';

const DOT_WORDS: Readonly<Record<DotState, string>> = {
  none: 'not marked',
  proposed: 'proposed',
  confirmed: 'confirmed',
};

/** What the chart does with its cells; one object for all, so that a cell is drawn again only when it changes. */
export interface CellHandlers {
  readonly register: (tooth: Tooth, element: HTMLButtonElement | null) => void;
  readonly keyDown: (event: KeyboardEvent, tooth: Tooth) => void;
  readonly choose: (tooth: Tooth) => void;
}

interface CellProps {
  readonly tooth: Tooth;
  readonly notation: Notation;
  readonly hasScan: boolean;
  readonly presence: ToothPresence;
  readonly mesial: DotState;
  readonly distal: DotState;
  readonly enteredMm: number | null;
  readonly selected: boolean;
  readonly inTabOrder: boolean;
  readonly handlers: CellHandlers;
}

function stateWords({ tooth, hasScan, presence, mesial, distal, enteredMm }: CellProps): string {
  if (!hasScan) return 'no scan of this arch';
  if (presence === 'missing' || presence === 'unerupted')
    return positionOf(tooth) === 8 && presence === 'missing' ? 'not counted' : presence;
  if (enteredMm !== null) return `width ${enteredMm}\u00a0mm entered`;
  return `mesial ${DOT_WORDS[mesial]}, distal ${DOT_WORDS[distal]}`;
}

/** One tooth of the chart: its number, whether it is there, and how far its two contact points are marked. */
export const ToothCell = memo(function ToothCell(props: CellProps) {
  const { tooth, notation, hasScan, presence, mesial, distal, enteredMm, selected, inTabOrder, handlers } =
    props;
  const uncounted = positionOf(tooth) === 8 && presence === 'missing';
  const dots = isRight(tooth) ? [distal, mesial] : [mesial, distal];
  const classes = ['chart__tooth'];
  if (selected) classes.push('chart__tooth_selected');
  const shown = presence === 'primary' ? tooth + 40 : tooth;
  if (hasScan && presence !== 'present' && !uncounted) classes.push(`chart__tooth_${presence}`);
  return (
    // Keys are caught on the way up: the button itself answers Enter and Space.
    // biome-ignore lint/a11y/noStaticElementInteractions: the button inside is the control
    <div onKeyDown={(event) => handlers.keyDown(event, tooth)}>
      <Button
        ref={(element) => handlers.register(tooth, element)}
        className={classes.join(' ')}
        isDisabled={!hasScan}
        excludeFromTabOrder={!inTabOrder}
        aria-label={`${toothLabel(shown, notation)}, ${toothName(shown)}: ${stateWords(props)}`}
        aria-current={selected ? 'true' : undefined}
        onPress={() => handlers.choose(tooth)}
      >
        <span className={uncounted ? 'chart__uncounted' : undefined}>{toothLabel(shown, notation)}</span>
        <span className="chart__dots" aria-hidden="true">
          {hasScan && (presence === 'present' || presence === 'primary') && enteredMm === null && (
            <>
              <i className={`chart__dot chart__dot_${dots[0]}`} />
              <i className={`chart__dot chart__dot_${dots[1]}`} />
            </>
          )}
          {hasScan && enteredMm !== null && <i className="chart__dot chart__dot_entered" />}
        </span>
      </Button>
    </div>
  );
});
