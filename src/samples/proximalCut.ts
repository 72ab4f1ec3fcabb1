import type { Vec3 } from '../core/base/Vec3.ts';

/** One proximal wall ground back and polished, in the crown's own frame: a facet fading out round its middle. */
export interface ProximalCut {
  readonly side: 1 | -1; // mesial 1, distal −1
  readonly goneMm: number; // depth at the middle
  readonly v: number; // middle of the facet, mm
  readonly w: number;
  readonly reachV: number; // where it has faded out, mm
  readonly reachW: number;
  readonly wholeFromMm: number; // |u| from which on the wall moves by the whole depth
}

// by how much a facet is flatter than the grown wall, across and up the crown; our choice
const FLATTER_V = 1.5;
const FLATTER_W = 2.5;
const LONGEST_MM = 9;
const PROBES_MM = [-1.2, -0.6, 0.6, 1.2];

/**
 * The cut that sets a crown's outermost point on one side back by a depth along the mesiodistal axis. `wall`
 * tells how far out the grown wall stands at (v, w). Nowhere is more gone than at the middle.
 *
 * Not taken: a plane or barrel laid through the wall; where the grown wall is flatter than it, toward the
 * cervix of incisors, it took half as much again as at the contact.
 */
export function proximalCut(
  side: 1 | -1,
  outermostMm: Vec3,
  goneMm: number,
  wall: (v: number, w: number) => number,
): ProximalCut {
  const [u, v, w] = outermostMm;
  // a facet of depth g·(1 − r²)² takes 4g / reach² from the wall's curvature
  const reach = (flatter: number, at: (step: number) => number): number => {
    const bend = Math.min(...PROBES_MM.map((h) => (2 * (side * u - at(h))) / (h * h)));
    return Math.min(Math.sqrt((4 * goneMm) / Math.max(bend * (1 - 1 / flatter), 1e-3)), LONGEST_MM);
  };
  return {
    side,
    goneMm,
    v,
    w,
    reachV: reach(FLATTER_V, (h) => wall(v + h, w)),
    reachW: reach(FLATTER_W, (h) => wall(v, w + h)),
    wholeFromMm: 0.5 * side * u,
  };
}

/** Where (u, v, w) of a cut crown was on the crown as it grew: its u. */
export function grownU(cut: ProximalCut, u: number, v: number, w: number): number {
  const out = cut.side * u;
  if (out <= 0) return u;
  const [dv, dw] = [(v - cut.v) / cut.reachV, (w - cut.w) / cut.reachW];
  const fade = 1 - dv * dv - dw * dw;
  if (fade <= 0) return u;
  const t = Math.min(out / cut.wholeFromMm, 1);
  return u + cut.side * cut.goneMm * fade * fade * t * t * (3 - 2 * t);
}
