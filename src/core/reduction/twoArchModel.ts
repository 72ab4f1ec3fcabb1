import { isRight, positionOf } from '../base/tooth.ts';
import { contactRoom } from './planReduction.ts';
import type { ReductionRequest } from './ReductionPlan.ts';
import { shareSurfaces } from './shareSurfaces.ts';
import { stepsToMm } from './stepAmounts.ts';

/** Tooth-size ratio to be brought between two values, percent. */
export interface RatioBand {
  readonly kind: 'overall' | 'anterior';
  readonly lowPercent: number;
  readonly highPercent: number;
  readonly upperSumMm: number; // widths before the plan
  readonly lowerSumMm: number;
}

/** One contact of either arch in the joint model. */
export interface JointContact {
  readonly arch: 0 | 1; // upper, lower
  readonly index: number; // in its request
  readonly capacity: number;
  readonly bound: number;
  /** Enamel off the teeth of each band when k steps are taken, mm: [band][k]. */
  readonly takenMm: readonly (readonly number[])[];
  /** How far the middle of the arch moves to the right when k steps are taken here alone, mm. */
  readonly shiftMm: readonly number[];
}

/** Last position from the midline whose teeth a ratio counts. */
export const LAST_POSITION = { overall: 6, anterior: 3 } as const;

/** Contacts of both arches, upper first, in the order asked. */
export function jointContacts(
  requests: readonly [ReductionRequest, ReductionRequest],
  bands: readonly RatioBand[],
): readonly JointContact[] {
  return requests.flatMap((request, arch) =>
    request.contacts.map((contact, index): JointContact => {
      const { capacity, bound } = contactRoom(contact, request);
      const surfacesMm = Array.from({ length: bound + 1 }, (_, k) =>
        shareSurfaces(stepsToMm(k, request.stepMm), contact.surfaceLimitsMm),
      );
      const takenMm = bands.map(({ kind }) => {
        const counts = contact.teeth.map((tooth) => tooth < 50 && positionOf(tooth) <= LAST_POSITION[kind]);
        return surfacesMm.map(([first, second]) => (counts[0] ? first : 0) + (counts[1] ? second : 0));
      });
      const toRight = contact.teeth.map((tooth) => (isRight(tooth) ? 0.5 : -0.5));
      const shiftMm = surfacesMm.map(([first, second]) => toRight[0] * first + toRight[1] * second);
      return { arch: arch as 0 | 1, index, capacity, bound, takenMm, shiftMm };
    }),
  );
}

/** How far outside its bands a pair of arches lies after the given steps, mm of lower arch, summed over the bands. */
export function outsideBandsMm(
  contacts: readonly JointContact[],
  steps: readonly number[],
  bands: readonly RatioBand[],
): number {
  return bands.reduce((total, band, b) => {
    const taken = [0, 0];
    for (const [i, contact] of contacts.entries()) taken[contact.arch] += contact.takenMm[b][steps[i]];
    const upper = band.upperSumMm - taken[0];
    const lower = band.lowerSumMm - taken[1];
    return (
      total + Math.max(0, lower - (band.highPercent / 100) * upper, (band.lowPercent / 100) * upper - lower)
    );
  }, 0);
}
