import { positionOf } from '../../core/base/tooth.ts';
import { fixed } from '../format.ts';
import type { SiteScore, ToothScore } from './markScore.ts';

const SEEN_MM = 0.15; // less is within what a careful hand repeats

/** Where a point lies against the true one, in words, the largest part first; null where it lies on it. */
export function whereOff({ mesialMm, outwardMm, upMm }: SiteScore, tooth: number): string | null {
  const outside = positionOf(tooth) <= 3 ? 'lip' : 'cheek';
  const parts = [
    { mm: mesialMm, words: ['toward mesial', 'toward distal'] },
    { mm: outwardMm, words: [`toward the ${outside}`, 'toward the tongue'] },
    { mm: upMm, words: ['toward the biting edge', 'toward the gum'] },
  ]
    .filter(({ mm }) => Math.abs(mm) >= SEEN_MM)
    .sort((a, b) => Math.abs(b.mm) - Math.abs(a.mm));
  if (parts.length === 0) return null;
  return parts.map(({ mm, words }) => `${fixed(Math.abs(mm), 1)} mm ${words[mm > 0 ? 0 : 1]}`).join(', ');
}

/** Why a width is off: which point stands too far out or in along the tooth. */
export function whyOff({ errorMm, sites, tooth }: ToothScore): string {
  if (errorMm === null) return 'Both contact points are needed for a width.';
  const told = sites.flatMap((site) => {
    const where = whereOff(site, tooth);
    return where ? [`${site.site} point ${where}`] : [];
  });
  const text = told.join('; ');
  if (Math.abs(errorMm) < SEEN_MM)
    return told.length === 0 ? 'Both points are where they belong.' : `The width is right. Yet: ${text}.`;
  const worst = [...sites].sort((a, b) => Math.abs(b.mesialMm) - Math.abs(a.mesialMm))[0];
  const out = worst.site === 'mesial' ? worst.mesialMm > 0 : worst.mesialMm < 0;
  const side = out
    ? 'stands out beyond the crown: it may lie on the neighbour or on the web over the contact'
    : 'stops short of the outermost bulge of the wall: look from above and from the side';
  return `Too ${errorMm > 0 ? 'wide' : 'narrow'}. The ${worst.site} point ${side}.${text ? ` In all: ${text}.` : ''}`;
}
