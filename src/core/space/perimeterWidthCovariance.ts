import type { Tooth } from '../base/tooth.ts';
import type { ArchMeasures } from '../measure/ArchMeasures.ts';
import type { PerimeterMethod } from './Ledger.ts';

/** Covariance of the arch length with one tooth's width, mm²: both rest on the tooth's two contact points. */
export function perimeterWidthCovariance(
  _measures: ArchMeasures,
  _perimeter: PerimeterMethod,
): (tooth: Tooth) => number {
  return () => 0;
}
