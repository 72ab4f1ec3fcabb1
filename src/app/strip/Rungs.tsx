import type { PlanContact, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { mm } from '../format.ts';
import { RUNG_PX, RUNG_ROOM_MAX_PX } from './stripRows.ts';

/** One rung a step: taken, held back, or free up to the limit. */
export function Rungs({
  limit,
  planned,
  stepMm,
  xPx,
  topPx,
}: {
  limit: ReductionRequest['contacts'][number] | null;
  planned: PlanContact | null;
  stepMm: number;
  xPx: number;
  topPx: number;
}) {
  if (!limit) return null;
  if (limit.locked)
    return (
      <g className="strip__lock" transform={`translate(${xPx} ${topPx + 4})`}>
        <path d="M-3.5 4v-2a3.5 3.5 0 0 1 7 0v2M-5 4h10v7h-10z" />
      </g>
    );
  const steps = (amountMm: number): number => Math.round(amountMm / stepMm);
  const capacity = Math.floor(
    Math.min(limit.limitMm, limit.surfaceLimitsMm[0] + limit.surfaceLimitsMm[1]) / stepMm + 1e-6,
  );
  const total = steps(planned?.totalMm ?? 0);
  const held = steps(planned?.heldBackMm ?? 0);
  const rungPx = Math.min(RUNG_PX, RUNG_ROOM_MAX_PX / Math.max(1, capacity));
  return (
    <>
      {Array.from({ length: Math.max(capacity, total) }, (_, i) => {
        const state = i < total - held ? ' strip__rung_taken' : i < total ? ' strip__rung_held' : '';
        return (
          <rect
            key={i}
            className={`strip__rung${state}`}
            x={Math.round(xPx) - 8}
            y={topPx + i * rungPx}
            width="16"
            height={rungPx - 2}
          />
        );
      })}
      {total > 0 && (
        <text className="strip__amount" x={xPx} y={topPx + RUNG_ROOM_MAX_PX + 10} textAnchor="middle">
          {mm(planned?.totalMm ?? 0, 1)}
        </text>
      )}
    </>
  );
}
