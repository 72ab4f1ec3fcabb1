import type { Crest, Furrow, Profile } from './CrownForm.ts';

/** A crest by its ends. */
export const crest = (from: Crest['from'], to: Crest['to'], slope = 0.9, roundMm = 0.5): Crest => ({
  from,
  to,
  slope,
  roundMm,
});

/** A proximal wall: narrow at the cervix, widest at the contact, rounding off above it. */
export const wall = (cervix: number, contact: number, above: number, top: number): Profile => [
  [-0.4, cervix - 0.24],
  [-0.1, cervix - 0.05],
  [0.05, cervix + 0.02],
  [contact * 0.45, cervix + (1 - cervix) * 0.52],
  [contact * 0.75, cervix + (1 - cervix) * 0.87],
  [contact, 1],
  [contact + (1 - contact) * 0.5, above],
  [1.02, top],
  [1.2, top - 0.25],
];

/** A fissure by its ends. */
export const furrow = (from: Furrow['from'], to: Furrow['to'], depthMm: number, breadthMm = 0.3): Furrow => ({
  from,
  to,
  depthMm,
  breadthMm,
});

/** The larger of two values, rounded off over `k` where they are nearly equal; never below either. */
export function roundedMax(a: number, b: number, k: number): number {
  const h = k - Math.abs(a - b);
  return Math.max(a, b) + (h > 0 ? (h * h) / (4 * k) : 0);
}
