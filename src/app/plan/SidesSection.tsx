import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ReductionPlan } from '../../core/reduction/ReductionPlan.ts';
import { type MidlineWish, missesMm, sideBalance } from '../../core/reduction/sidesInBalance.ts';
import { NumberInput, Segments } from '../design/controls.tsx';
import { fixed, mm } from '../format.ts';
import { actions } from '../store.ts';

type Choice = 'free' | 'same' | 'shift';

const choiceOf = (midline: MidlineWish | undefined): Choice =>
  !midline ? 'free' : midline.shiftToRightMm === 0 && midline.toleranceMm === 0 ? 'same' : 'shift';

const FIRST_SHIFT: MidlineWish = { shiftToRightMm: 0.5, toleranceMm: 0.1 };

/** What of the plan lies left and right, and a wish for the middle of the arch. */
export function SidesSection({ record, plan }: { record: ArchRecord; plan: ReductionPlan | null }) {
  const { midline } = record.plan;
  const set = (wish: MidlineWish | null): void => actions().setMidline(record.jaw, wish);
  const choice = choiceOf(midline);
  const sides = plan && sideBalance(plan);
  return (
    <section className="sheet__section" aria-labelledby="left-and-right">
      <h3 className="sheet__title" id="left-and-right">
        Left and right
      </h3>
      <Segments<Choice>
        label="Left and right"
        small
        value={choice}
        onChange={(id) =>
          set(id === 'free' ? null : id === 'same' ? { shiftToRightMm: 0, toleranceMm: 0 } : FIRST_SHIFT)
        }
        choices={[
          { id: 'free', label: 'As it falls' },
          { id: 'same', label: 'Same on both sides' },
          { id: 'shift', label: 'Shift the midline' },
        ]}
      />
      {choice === 'shift' && midline && <Shift jaw={record.jaw} midline={midline} />}
      {sides && (
        <p className="sheet__note" role="status">
          Planned on the right {mm(sides.rightMm)}&nbsp;mm, on the left {mm(sides.leftMm)}&nbsp;mm.{' '}
          {shiftWords(sides.shiftToRightMm)}
          {midline && missesMm(sides.shiftToRightMm, midline) > 1e-6 && (
            <b>
              {' '}
              {fixed(missesMm(sides.shiftToRightMm, midline))}&nbsp;mm of the wish cannot be had within the
              need and its limits.
            </b>
          )}
        </p>
      )}
      {midline && (
        <p className="sheet__note">
          Reaching the goal goes before this wish, and this wish before an even load. The middle moves by half
          of the difference, the first molars taken as fixed.
        </p>
      )}
    </section>
  );
}

const shiftWords = (toRightMm: number): string =>
  Math.abs(toRightMm) < 1e-9
    ? 'The middle of the arch stays.'
    : `The middle of the arch moves ${fixed(Math.abs(toRightMm))}\u00a0mm to the ${toRightMm > 0 ? 'right' : 'left'}.`;

function Shift({ jaw, midline }: { jaw: Jaw; midline: MidlineWish }) {
  const { shiftToRightMm, toleranceMm } = midline;
  const side = shiftToRightMm < 0 ? 'left' : 'right';
  const set = (change: Partial<MidlineWish>): void => actions().setMidline(jaw, { ...midline, ...change });
  const signOf = (to: 'right' | 'left'): number => (to === 'left' ? -1 : 1);
  return (
    <div className="settings settings_wide">
      <div className="field">
        <span className="field__label" aria-hidden="true">
          Toward the patient’s
        </span>
        <Segments
          label="Toward the patient’s right or left"
          value={side}
          onChange={(to) => set({ shiftToRightMm: signOf(to) * Math.abs(shiftToRightMm) })}
          choices={[
            { id: 'right', label: 'right' },
            { id: 'left', label: 'left' },
          ]}
        />
      </div>
      <NumberInput
        label="By"
        digits={2}
        step={0.05}
        min={0.05}
        max={5}
        value={Math.abs(shiftToRightMm)}
        onChange={(by) => by && set({ shiftToRightMm: signOf(side) * by })}
      />
      <NumberInput
        label="As good within ±"
        digits={2}
        step={0.05}
        min={0}
        max={2}
        value={toleranceMm}
        onChange={(within) => set({ toleranceMm: within ?? 0 })}
      />
    </div>
  );
}
