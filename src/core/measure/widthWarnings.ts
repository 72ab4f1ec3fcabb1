import { isRight } from '../base/tooth.ts';
import type { MeasureWarning, ToothMeasure } from './ArchMeasures.ts';
import { antimere, usualRangeMm } from './publishedWidths.ts';

/** Difference between right and left above which a pair is flagged; mm. Our choice, common practice, no source. */
const SIDE_DIFFERENCE_MM = 0.5;

/**
 * What is odd about the widths: outside mean ± 3 SD of published widths ('width-unusual'), right and left
 * differing by more than 0.5 mm ('width-sides-differ'). A flag asks for a second look; it changes no number.
 */
export function widthWarnings(teeth: readonly ToothMeasure[]): readonly MeasureWarning[] {
  const warnings: MeasureWarning[] = [];
  for (const { tooth, widthMm } of teeth) {
    const range = usualRangeMm(tooth);
    if (range && (widthMm < range[0] || widthMm > range[1]))
      warnings.push({
        code: 'width-unusual',
        message: `Width of tooth ${tooth} is ${widthMm.toFixed(2)} mm, outside ${range[0].toFixed(2)}–${range[1].toFixed(2)} mm (published mean ± 3 SD). Check its marks and number.`,
        teeth: [tooth],
      });
    const other = isRight(tooth) && teeth.find((t) => t.tooth === antimere(tooth));
    if (other && Math.abs(widthMm - other.widthMm) > SIDE_DIFFERENCE_MM)
      warnings.push({
        code: 'width-sides-differ',
        message: `Teeth ${tooth} and ${other.tooth} differ by ${Math.abs(widthMm - other.widthMm).toFixed(2)} mm, more than ${SIDE_DIFFERENCE_MM} mm. Check their marks.`,
        teeth: [tooth, other.tooth],
      });
  }
  return warnings;
}
