import type { Jaw } from '../../core/base/tooth.ts';
import { TextButton } from '../design/controls.tsx';
import { actions } from '../store.ts';

/** Gives up the user's own tenths: the plan of the rules is in force again. */
export function BackToPlan({ jaw }: { jaw: Jaw }) {
  return (
    <TextButton
      small
      onPress={() => {
        actions().dropOwnTenths(jaw);
        actions().announce('Back to the plan.');
      }}
    >
      Back to the plan
    </TextButton>
  );
}
