import { positionOf, quadrantOf, type Tooth } from '../base/tooth.ts';
import { distance } from '../base/Vec3.ts';
import { typicalWidthMm } from '../crowns/typicalWidths.ts';
import type { Mark } from './Mark.ts';

/** Relative SD of one tooth's width about what the incisors of the same arch lead to expect: its own and measuring. */
const SPREAD = 0.08;
/** Log of how much better a primary tooth must fit: 20 times. Practice, no source. */
const LEAST_EVIDENCE = 3;
const LEAST_INCISORS = 2;

/**
 * Canines and premolars whose widths fit the primary tooth of their place far better than the permanent one: a mixed
 * dentition that nobody has said. Second primary molars are wider than second premolars by a third, primary canines
 * narrower by a sixth; first primary molars differ too little to tell. Widths are taken against the incisors' of the
 * same arch, so that large and small teeth do not matter. In order of the marks.
 *
 * Units:    mm.
 * Accuracy: none among 84 generated permanent arches and real ones, at least one in every mixed one —
 *           tests/core/marks/perhapsPrimary.test.ts.
 * Source:   typical widths of both dentitions, see typicalWidthMm; the rule is ours.
 */
export function perhapsPrimary(marks: readonly Mark[]): readonly Tooth[] {
  const widths = [...new Set(marks.map((mark) => mark.tooth))].flatMap((tooth) => {
    const at = (site: Mark['site']) => marks.find((m) => m.tooth === tooth && m.site === site)?.pointMm;
    const [mesial, distal] = [at('mesial'), at('distal')];
    return mesial && distal && quadrantOf(tooth) <= 4 ? [{ tooth, widthMm: distance(mesial, distal) }] : [];
  });
  const incisors = widths
    .filter(({ tooth }) => positionOf(tooth) <= 2)
    .map(({ tooth, widthMm }) => widthMm / typicalWidthMm(tooth))
    .sort((a, b) => a - b);
  if (incisors.length < LEAST_INCISORS) return [];
  const size = (incisors[(incisors.length - 1) >> 1] + incisors[incisors.length >> 1]) / 2;
  return widths
    .filter(({ tooth, widthMm }) => {
      if (positionOf(tooth) < 3 || positionOf(tooth) > 5) return false;
      const off = (as: Tooth): number => Math.log(widthMm / (size * typicalWidthMm(as)));
      return (off(tooth) ** 2 - off(tooth + 40) ** 2) / (2 * SPREAD ** 2) >= LEAST_EVIDENCE;
    })
    .map(({ tooth }) => tooth);
}
