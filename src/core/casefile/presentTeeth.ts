import { archOrder, archPlace, jawOf, positionOf, type Tooth } from '../base/tooth.ts';
import type { ArchRecord } from './CaseDocument.ts';

/**
 * Erupted teeth that stand in an arch, from the patient's right to the left: the permanent teeth up to the second
 * molars that are neither missing nor unerupted, third molars when listed, and primary teeth that are said
 * to stand or are marked, each in the place of a permanent tooth that is not marked.
 */
export function presentTeeth(
  record: Pick<ArchRecord, 'jaw' | 'chart' | 'readings' | 'activeReading'>,
): readonly Tooth[] {
  const { missing, unerupted, thirdMolars, primary: said = [] } = record.chart;
  const marked = new Set(record.readings[record.activeReading].marks.map((mark) => mark.tooth));
  const absent = new Set([...missing, ...unerupted]);
  const permanent = archOrder(record.jaw).filter(
    (tooth) => !absent.has(tooth) && (positionOf(tooth) <= 7 || thirdMolars.includes(tooth)),
  );
  const primary = [...new Set([...said, ...marked])].filter(
    (tooth) =>
      tooth >= 50 &&
      jawOf(tooth) === record.jaw &&
      !missing.includes(tooth) &&
      !permanent.some((other) => archPlace(other) === archPlace(tooth) && marked.has(other)),
  );
  return [
    ...permanent.filter((tooth) => !primary.some((other) => archPlace(other) === archPlace(tooth))),
    ...primary,
  ].sort((a, b) => archPlace(a) - archPlace(b));
}
