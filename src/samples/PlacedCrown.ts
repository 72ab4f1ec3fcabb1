import type { Tooth } from '../core/base/tooth.ts';
import type { Vec2, Vec3 } from '../core/base/Vec3.ts';
import type { Crown } from './Crown.ts';

/** Where a crown stands: the middle between its contact points, and how it is turned. */
export interface CrownStand {
  readonly middleMm: Vec3; // arch frame
  readonly headingRad: number; // direction of growing s at the tooth, about z
  readonly inclinationRad: number; // tip leaning toward buccal
  readonly angulationRad: number; // tip leaning toward mesial
  readonly alongSign: 1 | -1; // +1 where mesial is the direction of growing s
}

/** A crown set into the arch: its own frame u, v, w expressed in the arch frame. */
export class PlacedCrown {
  readonly tooth: Tooth;
  readonly crown: Crown;
  readonly u: Vec3;
  readonly v: Vec3;
  readonly w: Vec3;
  readonly originMm: Vec3;
  readonly stand: CrownStand;

  constructor(tooth: Tooth, crown: Crown, stand: CrownStand) {
    this.tooth = tooth;
    this.crown = crown;
    this.stand = stand;
    const [ch, sh] = [Math.cos(stand.headingRad), Math.sin(stand.headingRad)];
    const [ci, si] = [Math.cos(stand.inclinationRad), Math.sin(stand.inclinationRad)];
    const [ca, sa] = [Math.cos(stand.angulationRad), Math.sin(stand.angulationRad)];
    const mesial: Vec2 = [ch * stand.alongSign, sh * stand.alongSign];
    const out: Vec2 = [-sh, ch];
    this.v = [out[0] * ci, out[1] * ci, -si];
    const leaning: Vec3 = [out[0] * si, out[1] * si, ci];
    this.u = [mesial[0] * ca - leaning[0] * sa, mesial[1] * ca - leaning[1] * sa, -leaning[2] * sa];
    this.w = [mesial[0] * sa + leaning[0] * ca, mesial[1] * sa + leaning[1] * ca, leaning[2] * ca];
    const { mesialMm: m, distalMm: d } = crown;
    const middle: Vec3 = [(m[0] + d[0]) / 2, (m[1] + d[1]) / 2, (m[2] + d[2]) / 2];
    this.originMm = [0, 1, 2].map(
      (k) => stand.middleMm[k] - this.u[k] * middle[0] - this.v[k] * middle[1] - this.w[k] * middle[2],
    ) as unknown as Vec3;
  }

  /** A point of the crown's own frame in the arch frame; mm. */
  toArch([u, v, w]: Vec3): Vec3 {
    const o = this.originMm;
    return [
      o[0] + this.u[0] * u + this.v[0] * v + this.w[0] * w,
      o[1] + this.u[1] * u + this.v[1] * v + this.w[1] * w,
      o[2] + this.u[2] * u + this.v[2] * v + this.w[2] * w,
    ];
  }

  /** A point of the arch frame in the crown's own frame; mm. */
  toLocal([x, y, z]: Vec3): Vec3 {
    const [dx, dy, dz] = [x - this.originMm[0], y - this.originMm[1], z - this.originMm[2]];
    return [
      dx * this.u[0] + dy * this.u[1] + dz * this.u[2],
      dx * this.v[0] + dy * this.v[1] + dz * this.v[2],
      dx * this.w[0] + dy * this.w[1] + dz * this.w[2],
    ];
  }

  /** Signed distance-like value at a point of the arch frame; mm. */
  distance(x: number, y: number, z: number): number {
    const dx = x - this.originMm[0];
    const dy = y - this.originMm[1];
    const dz = z - this.originMm[2];
    return this.crown.distance(
      dx * this.u[0] + dy * this.u[1] + dz * this.u[2],
      dx * this.v[0] + dy * this.v[1] + dz * this.v[2],
      dx * this.w[0] + dy * this.w[1] + dz * this.w[2],
    );
  }

  get mesialMm(): Vec3 {
    return this.toArch(this.crown.mesialMm);
  }

  get distalMm(): Vec3 {
    return this.toArch(this.crown.distalMm);
  }
}
