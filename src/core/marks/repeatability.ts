import type { ArchFrame } from '../arch/ArchFrame.ts';
import type { Tooth } from '../base/tooth.ts';
import { dot, type Vec3 } from '../base/Vec3.ts';
import { localDirections } from './localDirections.ts';
import { type MarkSite, markKey, type Reading } from './Mark.ts';

/** How far one observer's repeated marks scatter along the mesiodistal direction. */
export interface Repeatability {
  readonly markSdMm: number; // SD of one mark
  readonly degreesOfFreedom: number;
  readonly bySite: readonly {
    readonly tooth: Tooth;
    readonly site: MarkSite;
    readonly sdMm: number;
    readonly n: number;
  }[];
}

/**
 * SD of a single mark from repeated readings of the same observer, pooled over teeth and observers; null where
 * no mark was made twice. For two readings it is Dahlberg's error √(Σd² / 2n).
 *
 * Units:    mm.
 * Source:   Dahlberg 1940, Statistical Methods for Medical and Biological Students (from memory, unverified);
 *           for more than two readings the pooled within-mark SD, which agrees with it for pairs.
 */
export function repeatability(readings: readonly Reading[], frame: ArchFrame): Repeatability | null {
  const groups = new Map<string, { tooth: Tooth; site: MarkSite; places: number[] }>();
  const all = readings.flatMap((r) => r.marks);
  const axes = new Map<Tooth, Vec3>();
  for (const mark of all) {
    if (!axes.has(mark.tooth))
      axes.set(mark.tooth, localDirections(frame, all, mark.pointMm, mark.tooth).mesial);
  }
  for (const reading of readings) {
    for (const mark of reading.marks) {
      const key = `${reading.observer}\n${markKey(mark)}`;
      const group = groups.get(key) ?? { tooth: mark.tooth, site: mark.site, places: [] };
      group.places.push(dot(mark.pointMm, axes.get(mark.tooth)!));
      groups.set(key, group);
    }
  }
  let sum = 0;
  let degreesOfFreedom = 0;
  const bySite = new Map<string, { tooth: Tooth; site: MarkSite; sum: number; df: number; n: number }>();
  for (const { tooth, site, places } of groups.values()) {
    if (places.length < 2) continue;
    const mean = places.reduce((s, p) => s + p, 0) / places.length;
    const squares = places.reduce((s, p) => s + (p - mean) ** 2, 0);
    sum += squares;
    degreesOfFreedom += places.length - 1;
    const key = markKey({ tooth, site });
    const at = bySite.get(key) ?? { tooth, site, sum: 0, df: 0, n: 0 };
    bySite.set(key, {
      ...at,
      sum: at.sum + squares,
      df: at.df + places.length - 1,
      n: at.n + places.length,
    });
  }
  if (degreesOfFreedom === 0) return null;
  return {
    markSdMm: Math.sqrt(sum / degreesOfFreedom),
    degreesOfFreedom,
    bySite: [...bySite.values()].map((s) => ({
      tooth: s.tooth,
      site: s.site,
      sdMm: Math.sqrt(s.sum / s.df),
      n: s.n,
    })),
  };
}
