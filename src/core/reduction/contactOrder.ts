import { archPlace, type Contact, isRight, positionOf } from '../base/tooth.ts';

/** 0 for the contact across the midline, else the position of the contact's tooth nearer the midline. */
export const midlineDistance = ([a, b]: Contact): number =>
  isRight(a) !== isRight(b) ? 0 : Math.min(positionOf(a), positionOf(b));

/** Sorts contacts in order of preference: nearer the midline first, then right before left. */
export function byPreference(a: Contact, b: Contact): number {
  const nearer = midlineDistance(a) - midlineDistance(b);
  return nearer !== 0 ? nearer : archPlace(a[0]) + archPlace(a[1]) - archPlace(b[0]) - archPlace(b[1]);
}

/** The same two teeth, in either order. */
export const sameTeeth = (a: Contact, b: Contact): boolean =>
  (a[0] === b[0] && a[1] === b[1]) || (a[0] === b[1] && a[1] === b[0]);
