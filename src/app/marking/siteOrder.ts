import { positionOf } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { type MarkingStep, markingOrder } from '../../core/marks/markingOrder.ts';
import { shuffledOrder } from '../../core/marks/shuffledOrder.ts';
import { isMarkingLesson } from '../lessons/useRunningLesson.ts';

/**
 * The contact points asked for on an arch, in their order: once round the arch, by chance in a blinded reading, the
 * front teeth alone in the lesson on marking.
 */
export function siteOrder(record: ArchRecord): readonly MarkingStep[] {
  const all = markingOrder(record.jaw, record.chart);
  const order = isMarkingLesson(record) ? all.filter(({ tooth }) => positionOf(tooth) <= 3) : all;
  const seed = record.readings[record.activeReading]?.orderSeed;
  return seed === undefined ? order : shuffledOrder(order, seed);
}
