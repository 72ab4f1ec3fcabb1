import type { PlanContact, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { stepsWithin } from '../../core/reduction/stepAmounts.ts';
import { mm } from '../format.ts';
import { RUNG_PX, RUNG_ROOM_MAX_PX } from './stripRows.ts';

/** What the user's own tenths add to a contact's column. */
export interface OwnRungs {
  readonly wishedMm: number; // as set, also where a limit lets less count
  readonly exactMm: number; // of the exact plan, to compare with
}

/** One rung a step: taken, held back, wished above a limit, or free up to it. */
export function Rungs({
  limit,
  planned,
  own = null,
  stepMm,
  xPx,
  topPx,
  onSteps = null,
}: {
  limit: ReductionRequest['contacts'][number] | null;
  planned: PlanContact | null;
  own?: OwnRungs | null;
  stepMm: number;
  xPx: number;
  topPx: number;
  /** Where given, the rungs answer to the pointer: an open one fills up to itself, a filled one empties from itself. */
  onSteps?: ((steps: number) => void) | null;
}) {
  if (!limit) return null;
  if (limit.locked)
    return (
      <g className="strip__lock" transform={`translate(${xPx} ${topPx + 4})`}>
        <path d="M-3.5 4v-2a3.5 3.5 0 0 1 7 0v2M-5 4h10v7h-10z" />
      </g>
    );
  const capacity = stepsWithin(
    Math.min(limit.limitMm, limit.surfaceLimitsMm[0] + limit.surfaceLimitsMm[1]),
    stepMm,
  );
  const total = stepsWithin(planned?.totalMm ?? 0, stepMm);
  const held = stepsWithin(planned?.heldBackMm ?? 0, stepMm);
  const wished = Math.max(total, own ? stepsWithin(own.wishedMm, stepMm) : 0);
  const exact = own ? stepsWithin(own.exactMm, stepMm) : 0;
  const count = Math.max(capacity, wished);
  const pitchPx = Math.min(RUNG_PX, RUNG_ROOM_MAX_PX / Math.max(1, count + (onSteps ? 1 : 0)));
  const left = Math.round(xPx) - 8;
  const stateOf = (i: number): string => {
    if (i < total - held) return ' strip__rung_taken';
    if (i < total) return ' strip__rung_held';
    return i < wished ? ' strip__rung_wished' : '';
  };
  return (
    <>
      {Array.from({ length: count }, (_, i) => (
        <rect
          key={i}
          className={`strip__rung${stateOf(i)}${i >= capacity ? ' strip__rung_over' : ''}`}
          x={left}
          y={topPx + i * pitchPx}
          width="16"
          height={pitchPx - 2}
        />
      ))}
      {own && exact !== wished && (
        <path
          className="strip__exact"
          d={`M${left - 5} ${topPx + exact * pitchPx - 1}h4M${left + 17} ${topPx + exact * pitchPx - 1}h4`}
        />
      )}
      {onSteps && (
        // biome-ignore lint/a11y/noStaticElementInteractions: the contact's own button answers to the same keys
        <rect
          className="strip__rung-hit"
          x={left - 5}
          y={topPx - 1}
          width="26"
          height={(count + 1) * pitchPx}
          onClick={(event) => {
            event.stopPropagation();
            const box = event.currentTarget.getBoundingClientRect();
            const at = Math.floor(((event.clientY - box.top) / box.height) * (count + 1));
            onSteps(at < wished ? at : at + 1);
          }}
        />
      )}
      {(total > 0 || own) && (
        <text className="strip__amount" x={xPx} y={topPx + RUNG_ROOM_MAX_PX + 10} textAnchor="middle">
          {mm(planned?.totalMm ?? 0, 1)}
        </text>
      )}
    </>
  );
}
