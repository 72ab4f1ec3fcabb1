import type { Vec3 } from '../core/base/Vec3.ts';
import type { CrownForm, Profile } from './CrownForm.ts';
import { roundedMax } from './formParts.ts';
import { grownU, type ProximalCut, proximalCut } from './proximalCut.ts';
import type { CrownSize } from './toothSizes.ts';

const TABLE = 256; // steps of a profile table
const LOWEST = -0.4; // table range in parts of the height
const HIGHEST = 1.2;
const TOP_STEP_MM = 0.1; // grid of the biting surface
const STRIDE = 5; // mesial, distal, buccal, lingual, marginal ridge

interface FurrowLine {
  readonly u: number;
  readonly v: number;
  readonly alongU: number;
  readonly alongV: number;
  readonly perLength2: number;
  readonly depth: number;
  readonly breadth: number;
}

/** Profile as a table: cubic through the given points, without overshoot (Fritsch and Carlson 1980). */
function fillProfile(profile: Profile, table: Float64Array, column: number, factor: number): void {
  const n = profile.length;
  const chords: number[] = [];
  for (let i = 0; i + 1 < n; i++)
    chords.push((profile[i + 1][1] - profile[i][1]) / (profile[i + 1][0] - profile[i][0]));
  const slopes = profile.map((_, i) => {
    if (i === 0) return chords[0];
    if (i === n - 1) return chords[n - 2];
    const [p, q] = [chords[i - 1], chords[i]];
    return p * q <= 0 ? 0 : (2 * p * q) / (p + q);
  });
  let k = 0;
  for (let i = 0; i <= TABLE; i++) {
    const x = LOWEST + ((HIGHEST - LOWEST) * i) / TABLE;
    while (k < n - 2 && x > profile[k + 1][0]) k++;
    const h = profile[k + 1][0] - profile[k][0];
    const t = Math.min(Math.max((x - profile[k][0]) / h, 0), 1);
    const [y0, y1, m0, m1] = [profile[k][1], profile[k + 1][1], slopes[k] * h, slopes[k + 1] * h];
    const y = y0 + t * (m0 + t * (3 * (y1 - y0) - 2 * m0 - m1 + t * (2 * (y0 - y1) + m0 + m1)));
    table[i * STRIDE + column] = Math.max(y, 0.02) * factor;
  }
}

/**
 * One crown as an implicit surface in its own frame (u mesial, v buccal, w occlusal, mm; the axis runs
 * between the contacts, w = 0 at the cervix). `distance` is negative inside and to first order the distance
 * to the surface near it; far away it only has the right sign.
 *
 * Accuracy: extremes within 1e-4 mm of this surface, width exact to 1e-6 — tests/samples/crown.test.ts.
 */
export class Crown {
  readonly heightMm: number;
  readonly floorMm: number; // w below which there is no crown
  /** Half extents that surely hold the crown: |u|, |v|. */
  readonly reachMm: readonly [number, number];
  readonly mesialMm: Vec3; // the outermost points of the proximal walls along u, exact
  readonly distalMm: Vec3;
  private readonly form: CrownForm;
  private readonly reference: CrownSize;
  private readonly grown: CrownSize;
  private readonly table = new Float64Array((TABLE + 1) * STRIDE);
  private readonly tableScale: number;
  private readonly crests: Float64Array; // 9 per crest: from u v w, along u v w / length², slope, round², round
  private readonly crestCount: number;
  private readonly lowestCrest: number;
  private readonly tops: Float64Array;
  private readonly topColumns: number;
  private readonly topRows: number;
  private readonly topU: number;
  private readonly topV: number;
  private readonly furrows: readonly FurrowLine[];
  private readonly widthScale: number;
  private readonly depthScale: number;
  private readonly grooves: readonly { at: number; lingual: boolean; depth: number; breadth: number }[];

  private readonly cuts: readonly ProximalCut[];

  /** `goneMm`: enamel taken from the mesial and the distal wall of the crown as it grew, whose size is given. */
  constructor(
    form: CrownForm,
    reference: CrownSize,
    size: CrownSize,
    goneMm: readonly [mesial: number, distal: number] = [0, 0],
  ) {
    this.cuts = []; // none while the crown as it grew is measured out
    this.form = form;
    this.reference = reference;
    this.grown = size;
    this.heightMm = size.heightMm;
    this.floorMm = -0.38 * size.heightMm;
    this.depthScale = size.depthMm / reference.depthMm;
    const crowning = size.heightMm / reference.heightMm;
    this.tableScale = TABLE / (HIGHEST - LOWEST);
    this.crestCount = form.crests.length;
    this.crests = new Float64Array(this.crestCount * 9);
    // the width scale is found so that the proximal extremes are exactly widthMm apart
    this.widthScale = 1;
    const half = size.widthMm / 2;
    this.fill(half, crowning);
    this.grooves = form.grooves.map((g) => ({
      at: g.at * half,
      lingual: g.side === 'lingual',
      depth: g.depth,
      breadth: g.breadthMm,
    }));
    let lowest = Number.POSITIVE_INFINITY;
    for (const c of form.crests) lowest = Math.min(lowest, -c.from[2], -c.to[2]);
    this.lowestCrest = size.heightMm + lowest * crowning - 3.2;
    const widest = Math.max(...form.buccal.map((p) => p[1]), ...form.lingual.map((p) => p[1]));
    this.reachMm = [
      half * 1.12,
      (widest + form.marginalRidge + Math.abs(form.skew) * half) * this.depthScale * 1.05,
    ];
    this.furrows = form.furrows.map((f) => {
      const [u, v] = [f.from[0] * half, f.from[1] * this.depthScale];
      const [alongU, alongV] = [f.to[0] * half - u, f.to[1] * this.depthScale - v];
      const perLength2 = 1 / (alongU * alongU + alongV * alongV);
      return { u, v, alongU, alongV, perLength2, depth: f.depthMm, breadth: f.breadthMm };
    });
    [this.topU, this.topV] = [this.reachMm[0] + 1, this.reachMm[1] + 1];
    this.topColumns = Math.ceil((2 * this.topU) / TOP_STEP_MM) + 1;
    this.topRows = Math.ceil((2 * this.topV) / TOP_STEP_MM) + 1;
    this.tops = new Float64Array(this.topColumns * this.topRows);
    this.fillTops();
    const first = this.extremes();
    this.widthScale = size.widthMm / (first.mesialMm[0] - first.distalMm[0]);
    const { mesialMm, distalMm } = this.extremes();
    this.cuts = goneMm.flatMap((gone, k): ProximalCut[] => {
      const side = k === 0 ? 1 : -1;
      const wall = (v: number, w: number) => side * this.wallAt(v, w, side);
      return gone === 0 ? [] : [proximalCut(side, k === 0 ? mesialMm : distalMm, gone, wall)];
    });
    this.mesialMm = [mesialMm[0] - goneMm[0], mesialMm[1], mesialMm[2]];
    this.distalMm = [distalMm[0] + goneMm[1], distalMm[1], distalMm[2]];
  }

  /** The same crown with enamel taken from its mesial and distal wall, counted from the crown as it grew; mm. */
  cutBack(goneMm: readonly [mesial: number, distal: number]): Crown {
    return new Crown(this.form, this.reference, this.grown, goneMm);
  }

  private fill(half: number, crowning: number): void {
    const { form, table } = this;
    fillProfile(form.mesial, table, 0, half);
    fillProfile(form.distal, table, 1, half);
    fillProfile(form.buccal, table, 2, this.depthScale);
    fillProfile(form.lingual, table, 3, this.depthScale);
    const ridge: Profile = [
      [-0.4, 0],
      [0.2, 0],
      [0.45, 1],
      [0.75, 1],
      [1, 0.2],
      [1.2, 0],
    ];
    fillProfile(ridge, table, 4, form.marginalRidge * this.depthScale);
    form.crests.forEach((c, i) => {
      const from = [c.from[0] * half, c.from[1] * this.depthScale, this.heightMm - c.from[2] * crowning];
      const to = [c.to[0] * half, c.to[1] * this.depthScale, this.heightMm - c.to[2] * crowning];
      const along = [to[0] - from[0], to[1] - from[1]];
      const length2 = along[0] * along[0] + along[1] * along[1];
      this.crests.set(
        [from[0], from[1], from[2], along[0], along[1], to[2] - from[2], 1 / length2, c.slope, c.roundMm],
        i * 9,
      );
    });
  }

  /** Height of the biting surface over (u, v), mm above the cervix, before it is rounded into the walls. */
  private shapeTop(u: number, v: number): number {
    const c = this.crests;
    let top = Number.NEGATIVE_INFINITY;
    for (let o = 0; o < this.crestCount * 9; o += 9) {
      const du = u - c[o];
      const dv = v - c[o + 1];
      const t = Math.min(Math.max((du * c[o + 3] + dv * c[o + 4]) * c[o + 6], 0), 1);
      const eu = du - t * c[o + 3];
      const ev = dv - t * c[o + 4];
      const round = c[o + 8];
      const h = c[o + 2] + t * c[o + 5] - c[o + 7] * (Math.sqrt(eu * eu + ev * ev + round * round) - round);
      // crests meet in a furrow a little rounded
      top = top === Number.NEGATIVE_INFINITY ? h : roundedMax(top, h, 0.1);
    }
    for (const f of this.furrows) {
      const [du, dv] = [u - f.u, v - f.v];
      const t = Math.min(Math.max((du * f.alongU + dv * f.alongV) * f.perLength2, 0), 1);
      const s2 = ((du - t * f.alongU) ** 2 + (dv - t * f.alongV) ** 2) / (f.breadth * f.breadth);
      top -= f.depth / (1 + s2) ** 2;
    }
    return top + this.wrinkle(u, v);
  }

  /** Fine unevenness of a biting surface with cusps, individual to the crown. */
  private wrinkle(u: number, v: number): number {
    if (this.furrows.length === 0) return 0;
    const phase = this.heightMm * 53 + this.reachMm[0] * 31;
    return (
      0.035 *
      (Math.sin(2.6 * u + 1.1 * v + phase) +
        Math.sin(-1.3 * u + 3.1 * v + 2.1 * phase) +
        Math.sin(3.4 * u - 2.3 * v + 3.7 * phase))
    );
  }

  /** The biting surface written once on a grid; `top` reads it linearly. */
  private fillTops(): void {
    for (let j = 0; j < this.topRows; j++)
      for (let i = 0; i < this.topColumns; i++)
        this.tops[j * this.topColumns + i] = this.shapeTop(
          i * TOP_STEP_MM - this.topU,
          j * TOP_STEP_MM - this.topV,
        );
  }

  private top(u: number, v: number): number {
    const x = Math.min(Math.max((u + this.topU) * (1 / TOP_STEP_MM), 0), this.topColumns - 1.001);
    const y = Math.min(Math.max((v + this.topV) * (1 / TOP_STEP_MM), 0), this.topRows - 1.001);
    const i = x | 0;
    const j = y | 0;
    const a = x - i;
    const o = j * this.topColumns + i;
    const t = this.tops;
    const low = t[o] + a * (t[o + 1] - t[o]);
    const high = t[o + this.topColumns] + a * (t[o + this.topColumns + 1] - t[o + this.topColumns]);
    return low + (y - j) * (high - low);
  }

  /** Signed distance-like value at (u, v, w) of the crown's own frame; mm. */
  distance(u: number, v: number, w: number): number {
    let grown = u;
    for (const cut of this.cuts) grown = grownU(cut, grown, v, w);
    const d = this.grownDistance(grown, v, w);
    // what moves with the wall is nowhere to stand out of the grown crown
    return grown === u ? d : Math.max(d, this.grownDistance(u, v, w));
  }

  private grownDistance(uIn: number, vIn: number, w: number): number {
    const { table, form } = this;
    const u = uIn / this.widthScale;
    const v = vIn - form.skew * u;
    let x = (w / this.heightMm - LOWEST) * this.tableScale;
    x = x < 0 ? 0 : Math.min(x, TABLE - 1e-6);
    const i = x | 0;
    const f = x - i;
    const o = i * STRIDE;
    const side = u > 0 ? o : o + 1;
    let U = table[side] + f * (table[side + STRIDE] - table[side]);
    let V: number;
    let k: number;
    if (v > 0) {
      V = table[o + 2] + f * (table[o + 2 + STRIDE] - table[o + 2]);
      let b2 = v / V;
      b2 = b2 > 1.3 ? 1.69 : b2 * b2;
      U *= 1 - form.taperBuccal * b2;
      k = form.squareBuccal;
    } else {
      V = table[o + 3] + f * (table[o + 3 + STRIDE] - table[o + 3]);
      let b2 = v / V;
      b2 = b2 < -1.3 ? 1.69 : b2 * b2;
      U *= 1 - form.taperLingual * b2;
      if (form.marginalRidge > 0) {
        let a2 = u / U;
        a2 = a2 > 1 || a2 < -1 ? 1 : a2 * a2;
        V += (table[o + 4] + f * (table[o + 4 + STRIDE] - table[o + 4])) * a2 * a2;
      }
      k = form.squareLingual;
    }
    for (const g of this.grooves) {
      if (g.lingual !== v < 0) continue;
      const s = (u - g.at) / g.breadth;
      const q = 1 + s * s;
      const rise = w / this.heightMm;
      const fade = rise < 0.35 ? 0 : rise > 0.85 ? 1 : (rise - 0.35) * 2;
      V *= 1 - (g.depth * fade) / (q * q);
    }
    const a = (u < 0 ? -u : u) / U;
    const b = (v < 0 ? -v : v) / V;
    const a2 = a * a;
    const b2 = b * b;
    const q = (1 - k) * (a2 + b2) + k * (a2 * a2 + b2 * b2) - 1;
    const gu = (2 * (1 - k) * a + 4 * k * a2 * a) / U;
    const gv = (2 * (1 - k) * b + 4 * k * b2 * b) / V;
    const d = q / Math.sqrt(gu * gu + gv * gv + 0.02);
    const above = w - this.lowestCrest;
    const round = form.edgeRoundMm;
    if (above < -1.5) return roundedMax(d, this.floorMm - w, 0.2);
    return roundedMax(d, 0.78 * (w - this.top(u, v)), round);
  }

  /** Gradient of `distance` by central differences. */
  gradient(u: number, v: number, w: number): Vec3 {
    const e = 1e-4;
    const s = 1 / (2 * e);
    return [
      (this.distance(u + e, v, w) - this.distance(u - e, v, w)) * s,
      (this.distance(u, v + e, w) - this.distance(u, v - e, w)) * s,
      (this.distance(u, v, w + e) - this.distance(u, v, w - e)) * s,
    ];
  }

  /** Outermost u on the surface at (v, w), toward `direction` (+1 mesial, −1 distal); 0 where there is none. */
  private wallAt(v: number, w: number, direction: number): number {
    // start under a marginal ridge: the middle of a molar may lie above its fossa
    let inside = direction * 0.65 * (this.reachMm[0] / 1.12);
    let outside = direction * 9;
    if (this.distance(inside, v, w) > 0) return 0;
    for (let i = 0; i < 48; i++) {
      const middle = (inside + outside) / 2;
      if (this.distance(middle, v, w) > 0) outside = middle;
      else inside = middle;
    }
    return inside;
  }

  /** The outermost points along u by a shrinking search over (v, w). */
  private extremes(): { mesialMm: Vec3; distalMm: Vec3 } {
    const find = (direction: number): Vec3 => {
      let [v, w] = [0, this.heightMm * 0.6];
      let best = direction * this.wallAt(v, w, direction);
      for (let step = 0.8; step > 1e-4; ) {
        let moved = false;
        for (const [dv, dw] of [
          [step, 0],
          [-step, 0],
          [0, step],
          [0, -step],
        ]) {
          const u = direction * this.wallAt(v + dv, w + dw, direction);
          if (u > best + 1e-9) {
            [best, v, w, moved] = [u, v + dv, w + dw, true];
            break;
          }
        }
        if (!moved) step /= 2;
      }
      return [direction * best, v, w];
    };
    return { mesialMm: find(1), distalMm: find(-1) };
  }

  /** Height of the surface over (u, v), mm above the cervix; NaN where the crown does not reach. */
  heightAt(u: number, v: number): number {
    let low = 0.4 * this.heightMm;
    let high = this.heightMm + 1;
    if (this.distance(u, v, low) > 0) return Number.NaN;
    for (let i = 0; i < 44; i++) {
      const middle = (low + high) / 2;
      if (this.distance(u, v, middle) > 0) high = middle;
      else low = middle;
    }
    return low;
  }

  /** Tip of the buccal (mesiobuccal) cusp: the highest surface point near the first crest's beginning. */
  cuspTip(): Vec3 {
    return this.climb(this.crests[0] * this.widthScale, this.crests[1], true);
  }

  /** Middle of the incisal edge: the highest surface point on u midway between the edge's ends. */
  incisalMiddle(): Vec3 {
    return this.climb((this.mesialMm[0] + this.distalMm[0]) / 2, this.crests[1] + this.crests[4] / 2, false);
  }

  private climb(u: number, v: number, moveU: boolean): Vec3 {
    let best = this.heightAt(u, v);
    for (let step = 0.3; step > 1e-3; ) {
      let moved = false;
      const moves = [
        [0, step],
        [0, -step],
        [step, 0],
        [-step, 0],
      ].slice(0, moveU ? 4 : 2);
      for (const [du, dv] of moves) {
        const h = this.heightAt(u + du, v + dv);
        if (h > best + 1e-9 || (Number.isNaN(best) && !Number.isNaN(h))) {
          [best, u, v, moved] = [h, u + du, v + dv, true];
          break;
        }
      }
      if (!moved) step /= 2;
    }
    return [u, v, best];
  }
}
