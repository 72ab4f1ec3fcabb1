import { Refusal } from '../base/refusal.ts';
import type { Jaw, Tooth } from '../base/tooth.ts';
import type { LaidCrown } from './compareScans.ts';

/** Fewer crowns than this on both scans say nothing of an arch. */
const LEAST_TEETH = 4;
/** Least median, over the teeth, of the share of a crown's surface that found its like within 0.15 mm. */
const LEAST_MATCHED = 0.75;

/** Refuses: 'nothing-to-compare'. */
function tooFew(teeth: readonly Tooth[], jaw: Jaw): void {
  if (teeth.length >= LEAST_TEETH) return;
  throw new Refusal(
    'nothing-to-compare',
    `compareScans: too few crowns stand on both scans; got ${teeth.length} of the ${jaw} arch, need ${LEAST_TEETH}. Open two scans of the same arch, or mend the crowns of both.`,
    { teeth },
  );
}

/** Refuses: 'scans-unlike'. */
function strangers(teeth: readonly Tooth[], laid: readonly LaidCrown[]): void {
  const ratios = teeth.map((tooth) => laid.find((l) => l.tooth === tooth)?.laid.matchedRatio ?? 0);
  const sorted = [...ratios].sort((a, b) => a - b);
  const middle = sorted[Math.floor(sorted.length / 2)];
  if (middle >= LEAST_MATCHED) return;
  throw new Refusal(
    'scans-unlike',
    `compareScans: the crowns of the two scans are not alike; got ${Math.round(100 * middle)} % of a middling crown found again, need ${100 * LEAST_MATCHED} %. Open two scans of the same patient and the same jaw.`,
    { matchedRatios: Object.fromEntries(teeth.map((tooth, i) => [tooth, ratios[i]])) },
  );
}

export const refuseUnlike = { tooFew, strangers };
