import { Refusal } from '../base/refusal.ts';
import type { Jaw, Tooth } from '../base/tooth.ts';
import type { LaidCrown } from './layOver.ts';

/** Fewer crowns than this on both scans say nothing of an arch. */
const LEAST_TEETH = 4;
/**
 * Least share of a crown's surface that finds its like within 0.15 mm on the other scan, the worst quarter of the
 * crowns left out. Pairs of one arch: 0.91 and more; of two arches: 0.73 and less (the nearest two generated ones),
 * 0.53 and less where one is real — tests/core/compare/sameArch.test.ts.
 */
const LEAST_MATCHED = 0.82;

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
  const low = sorted[Math.floor(sorted.length / 4)];
  if (low >= LEAST_MATCHED) return;
  throw new Refusal(
    'scans-unlike',
    `compareScans: the crowns of the two scans are not alike; got ${Math.round(100 * low)} % of the surface found again at a quarter of the crowns, need ${100 * LEAST_MATCHED} %. Open two scans of the same patient and the same jaw.`,
    { matchedRatios: Object.fromEntries(teeth.map((tooth, i) => [tooth, ratios[i]])) },
  );
}

export const refuseUnlike = { tooFew, strangers };
