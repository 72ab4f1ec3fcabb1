/** 100 within `full` of the truth, 0 from `none` on, in proportion between. */
export function pointsFor(error: number, full: number, none: number): number {
  const share = (none - Math.abs(error)) / (none - full);
  return 100 * Math.min(1, Math.max(0, share));
}
