import { archOrder, isRight, type Jaw, permanentOf, positionOf, type Tooth } from '../base/tooth.ts';
import { type Mark, markKey } from './Mark.ts';

/** One place to mark. */
export interface MarkingStep {
  readonly tooth: Tooth;
  readonly site: 'mesial' | 'distal';
}

/** The part of a tooth chart that marking needs; third molars count only when listed. */
export interface MarkingChart {
  readonly missing: readonly Tooth[];
  readonly unerupted: readonly Tooth[];
  readonly thirdMolars: readonly Tooth[];
  readonly primary?: readonly Tooth[]; // each in the place of its successor
}

/**
 * Contact points in the order that leads the eye once round the arch, from the last tooth on the patient's
 * right to the last on the left: distal then mesial on the right, mesial then distal on the left.
 */
export function markingOrder(jaw: Jaw, chart: MarkingChart): readonly MarkingStep[] {
  return archOrder(jaw)
    .filter((tooth) => positionOf(tooth) !== 8 || chart.thirdMolars.includes(tooth))
    .map((tooth) => chart.primary?.find((standing) => permanentOf(standing) === tooth) ?? tooth)
    .filter((tooth) => !chart.missing.includes(tooth) && !chart.unerupted.includes(tooth))
    .flatMap((tooth): MarkingStep[] => {
      const distal: MarkingStep = { tooth, site: 'distal' };
      const mesial: MarkingStep = { tooth, site: 'mesial' };
      return isRight(tooth) ? [distal, mesial] : [mesial, distal];
    });
}

/** The next step without a mark, after `from` and then from the start again; null when every step is marked. */
export function nextUnmarked(
  order: readonly MarkingStep[],
  marks: readonly Pick<Mark, 'tooth' | 'site'>[],
  from?: MarkingStep,
): MarkingStep | null {
  const marked = new Set(marks.map(markKey));
  const start = from ? order.findIndex((step) => markKey(step) === markKey(from)) + 1 : 0;
  for (let k = 0; k < order.length; k++) {
    const step = order[(start + k) % order.length];
    if (!marked.has(markKey(step))) return step;
  }
  return null;
}
