import { tidyMm } from './stepAmounts.ts';

/**
 * What each of the two surfaces of a contact gives: half each, unless a surface limit forces otherwise.
 * Units: mm in, mm out; `totalMm` ≤ sum of the limits; the two parts add up to `totalMm`.
 */
export function shareSurfaces(
  totalMm: number,
  [firstLimitMm, secondLimitMm]: readonly [number, number],
): readonly [number, number] {
  const half = totalMm / 2;
  if (half <= firstLimitMm && half <= secondLimitMm) return [tidyMm(half), tidyMm(totalMm - tidyMm(half))];
  if (firstLimitMm < secondLimitMm) return [tidyMm(firstLimitMm), tidyMm(totalMm - firstLimitMm)];
  return [tidyMm(totalMm - secondLimitMm), tidyMm(secondLimitMm)];
}
