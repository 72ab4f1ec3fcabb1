import type { Source } from '../base/Source.ts';
import { type Contact, siteFacing, type Tooth } from '../base/tooth.ts';
import { enamelThickness, type Surface } from './enamel.ts';
import type { ReductionPlan } from './ReductionPlan.ts';
import type { ContactLimits, SurfaceLimitFrom } from './reductionRequest.ts';
import { tidyMm } from './stepAmounts.ts';

/** One proximal surface: its enamel, what may be taken of it, what the plan takes and leaves. Units: mm. */
export interface SurfaceEnamel {
  readonly teeth: Contact;
  readonly side: 0 | 1; // which of the two teeth
  readonly tooth: Tooth;
  readonly surface: Surface;
  /** Untouched thickness: a radiograph's where there is one, else the published mean; null: neither. */
  readonly enamelMm: number | null;
  readonly sdMm: number | null; // between people; null for a radiograph and where the source gives none
  readonly source: Source | null;
  readonly note: string | null;
  readonly earlierMm: number;
  readonly limitMm: number;
  readonly limitFrom: SurfaceLimitFrom;
  readonly plannedMm: number;
  readonly leftMm: number | null; // enamel − earlier − planned
  /** Taken earlier and planned together, as a part of the untouched thickness. */
  readonly takenShare: number | null;
  /** Which limit holds this contact: its own, or the two surfaces' together. */
  readonly stricter: ContactLimits['stricter'];
  readonly reason: string; // which limit is the stricter, in words
}

const RADIOGRAPH: Source = { standing: 'user', text: 'thickness read on a radiograph' };

/**
 * Every surface at the contacts of a plan, right to left.
 * Shape: `limits` are those of the request; `plan` is its plan in the same order, or null: then nothing is planned yet.
 */
export function enamelOverview(
  limits: readonly ContactLimits[],
  plan: ReductionPlan | null,
): readonly SurfaceEnamel[] {
  return limits.flatMap((limit, i) =>
    ([0, 1] as const).map((side): SurfaceEnamel => {
      const tooth = limit.teeth[side];
      const surface = siteFacing(tooth, limit.teeth[1 - side]);
      const radiographMm = limit.radiographMm[side];
      const published = enamelThickness(tooth, surface);
      const enamelMm = radiographMm ?? published?.meanMm ?? null;
      const earlierMm = limit.earlierMm[side];
      const plannedMm = plan?.contacts[i]?.surfacesMm[side] ?? 0;
      return {
        teeth: limit.teeth,
        side,
        tooth,
        surface,
        enamelMm,
        sdMm: radiographMm === null ? (published?.sdMm ?? null) : null,
        source: radiographMm === null ? (published?.source ?? null) : RADIOGRAPH,
        note: radiographMm === null ? (published?.note ?? null) : null,
        earlierMm,
        limitMm: limit.surfacesMm[side],
        limitFrom: limit.surfaceFrom[side],
        plannedMm,
        leftMm: enamelMm === null ? null : tidyMm(enamelMm - earlierMm - plannedMm),
        takenShare: enamelMm ? (earlierMm + plannedMm) / enamelMm : null,
        stricter: limit.stricter,
        reason: stricterReason(limit),
      };
    }),
  );
}

/** Which of a contact's limits is the stricter, in words. */
function stricterReason({ lock, stricter, limitMm, surfacesMm }: ContactLimits): string {
  if (lock !== null) return 'locked';
  const bothMm = tidyMm(surfacesMm[0] + surfacesMm[1]);
  return stricter === 'surfaces'
    ? `surfaces, ${bothMm.toFixed(2)} mm (contact ${limitMm.toFixed(2)})`
    : `contact, ${limitMm.toFixed(2)} mm (surfaces ${bothMm.toFixed(2)})`;
}
