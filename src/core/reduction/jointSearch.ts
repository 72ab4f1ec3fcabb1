import { type Constraint, type Linear, type MixedIntegerSolver, minimum } from './mixedInteger.ts';
import type { MidlineWish } from './sidesInBalance.ts';
import type { JointContact, RatioBand } from './twoArchModel.ts';

/** Distances from the bands that differ by less count as equal; mm. */
export const BAND_TOLERANCE_MM = 1e-4;

/** What a joint search keeps to: one figure for each arch, upper first. */
export interface JointRules {
  readonly planned: Shares; // whole steps each arch reaches by itself
  readonly extra: Shares; // whole steps each may give beyond them, for the ratio alone
  /** Where the middle of each arch may lie at most beside its wish; null: anywhere. */
  readonly midline: readonly (ShiftRange | null)[];
}

export interface ShiftRange {
  readonly wish: MidlineWish;
  readonly missedMm: number; // by the arch's own plan, beyond the tolerance
}

/** Room for the solver's own tolerance on the midline's place; far below what a half step moves. */
const SHIFT_TOLERANCE_MM = 1e-5;

/**
 * The rules as a row of mixed-integer models. A contact's steps are one whole number; single steps (0 or 1, the
 * next never before the last) stand beside it where what is taken, or its square, is no straight line.
 */
export class JointSearch {
  private readonly contacts: readonly JointContact[];
  private readonly bands: readonly RatioBand[];
  private readonly solver: MixedIntegerSolver;
  private readonly planned: Shares;
  private readonly extra: Shares;
  private readonly base: readonly Constraint[];
  private readonly bounds: readonly number[];
  private readonly bent: readonly number[]; // contacts whose surfaces do not share in proportion

  constructor(
    contacts: readonly JointContact[],
    bands: readonly RatioBand[],
    { planned, extra, midline }: JointRules,
    solver: MixedIntegerSolver,
  ) {
    this.contacts = contacts;
    this.bands = bands;
    this.solver = solver;
    this.planned = planned;
    this.extra = extra;
    this.bounds = contacts.map(({ bound }) => bound);
    this.bent = contacts.flatMap(({ takenMm, shiftMm, arch }, i) =>
      takenMm.every(isStraight) && (midline[arch] === null || isStraight(shiftMm)) ? [] : [i],
    );
    const sums = [0, 1].flatMap((arch): Constraint[] => {
      const left = this.sumOf(arch);
      const least = { left, relation: '>=', right: planned[arch] } as const;
      const most = { left, relation: '<=', right: planned[arch] + extra[arch] } as const;
      return extra[arch] === 0 ? [{ left, relation: '=', right: planned[arch] }] : [least, most];
    });
    const shifts = midline.flatMap((range, arch) => (range ? this.shiftRows(arch, range) : []));
    this.base = [...sums, ...shifts, ...this.bandRows()];
  }

  /** The steps of one arch together. */
  private sumOf(arch: number): Linear {
    return new Map(this.contacts.flatMap((c, i) => (c.arch === arch ? [[total(i), 1] as const] : [])));
  }

  /** Steps that come nearest to the bands. */
  nearestToBands(): readonly number[] {
    return this.sure(this.solved(this.outside(), [], this.bent, this.bounds));
  }

  /** The fewest steps that come within `nearest` mm of the bands: no more is taken for the ratio than it needs. */
  leastSteps(nearest: number): readonly number[] {
    return this.sure(this.solved(this.everyStep(), [this.within(nearest)], this.bent, this.bounds));
  }

  private everyStep(): Linear {
    return new Map(this.contacts.map((_, i) => [total(i), 1]));
  }

  private within(nearest: number): Constraint {
    return { left: this.outside(), relation: '<=', right: nearest + BAND_TOLERANCE_MM / 2 };
  }

  /** The best steps among those within `nearest` mm of the bands. */
  best(nearest: number, ownWorst: Shares, prefer: (i: number, j: number) => number): readonly number[] {
    const rules: Constraint[] = [this.within(nearest)];
    if (this.extra[0] + this.extra[1] > 0) {
      const steps = this.leastSteps(nearest);
      rules.push({ left: this.everyStep(), relation: '=', right: steps.reduce((a, b) => a + b, 0) });
    }
    const bounds = [...this.boundsUnder(this.leastWorstShares(rules, ownWorst))];
    const all = this.contacts.map((_, i) => i);
    const scale = leastCommonMultiple(this.contacts.map((contact) => Math.max(1, contact.capacity)));
    const squares: Linear = new Map(
      this.contacts.flatMap(({ capacity }, i) =>
        upTo(bounds[i]).map((k) => [single(i, k), ((2 * k - 1) * scale) / capacity] as const),
      ),
    );
    let steps = this.sure(this.solved(squares, rules, all, bounds));
    const least = this.contacts.reduce(
      (sum, { capacity }, i) => sum + (steps[i] > 0 ? (steps[i] ** 2 * scale) / capacity : 0),
      0,
    );
    rules.push({ left: squares, relation: '<=', right: least + 0.5 });
    // Among equals the preferred contacts take what they can, a few at a time: each counts more than all after it.
    const order = [...all].filter((i) => bounds[i] > 0).sort(prefer);
    while (order.length > 0) {
      const block: number[] = [];
      let weight = 1;
      while (order.length > 0 && weight * (bounds[order[0]] + 1) <= WEIGHT_MAX) {
        weight *= bounds[order[0]] + 1;
        block.push(order.shift()!);
      }
      const weights = new Map<string, number>();
      for (const i of block) {
        weight /= bounds[i] + 1;
        weights.set(total(i), -weight);
      }
      steps = this.sure(this.solved(weights, rules, all, bounds));
      for (const i of block) rules.push({ left: new Map([[total(i), 1]]), relation: '=', right: steps[i] });
    }
    return steps;
  }

  /**
   * Worst share of each arch: the larger as small as can be, then the other, then the upper one. A share is one of
   * finitely many ratios, not below what its arch needs by itself, so it is found by halving their list and asking
   * only whether there are steps at all. Not taken: the shares as variables to be minimised, whose proof of the
   * minimum cost 1.0 of the first call's 1.8 s of processor time (26 contacts); these questions cost 0.1.
   */
  private leastWorstShares(rules: readonly Constraint[], ownWorst: Shares): Shares {
    const possible = (shares: Shares): boolean => {
      const bounds = this.boundsUnder(shares);
      const holds = [0, 1].every((arch) => {
        const most = bounds.reduce((sum, b, i) => sum + (this.contacts[i].arch === arch ? b : 0), 0);
        return most >= this.planned[arch];
      });
      return holds && this.solved(this.outside(), rules, this.bent, bounds) !== null;
    };
    const ratios = [0, 1].map((arch) => [
      ...new Set([
        ownWorst[arch],
        ...this.contacts.flatMap((c) => (c.arch === arch ? upTo(c.bound).map((k) => k / c.capacity) : [])),
      ]),
    ]);
    const from = (list: readonly number[], low: number, high: number): number[] =>
      list.filter((ratio) => ratio >= low - RATIO && ratio <= high + RATIO).sort((a, b) => a - b);
    const floor = Math.max(...ownWorst);
    const either = from(ratios.flat(), floor, 1);
    const largest = firstWhere(either, (ratio) => possible([ratio, ratio]));
    // The arch that may stay below the larger share, either of the two where both can.
    const lessOf = (arch: 0 | 1): number | null => {
      const holds = ratios[1 - arch].some((ratio) => Math.abs(ratio - largest) < RATIO);
      if (!holds) return null;
      const shares = (ratio: number): Shares => (arch === 0 ? [ratio, largest] : [largest, ratio]);
      const list = from(ratios[arch], ownWorst[arch], largest);
      return list.length === 0 ? null : firstWhere(list, (ratio) => possible(shares(ratio)));
    };
    const upper = lessOf(0);
    const lower = lessOf(1);
    if (upper === null) return [largest, lower ?? largest];
    return lower === null || upper <= lower + RATIO ? [upper, largest] : [largest, lower];
  }

  /** Bounds of the contacts with none above the worst share of its arch. */
  private boundsUnder(shares: Shares): readonly number[] {
    return this.contacts.map(({ arch, capacity, bound }) =>
      Math.min(bound, Math.floor(shares[arch] * capacity + 1e-6)),
    );
  }

  private sure(steps: readonly number[] | null): readonly number[] {
    if (!steps) throw new Error('planBothArches: the solver found no plan where there is one.');
    return steps;
  }

  private outside(): Linear {
    return new Map(this.bands.map((_, b) => [`outside${b}`, 1]));
  }

  /** The middle of an arch no farther from its wish than its own plan leaves it. */
  private shiftRows(arch: number, { wish, missedMm }: ShiftRange): readonly Constraint[] {
    const left = new Map<string, number>();
    for (const [i, { shiftMm, bound, arch: own }] of this.contacts.entries()) {
      if (own !== arch || bound === 0) continue;
      if (!this.bent.includes(i)) left.set(total(i), shiftMm[1]);
      else for (const k of upTo(bound)) left.set(single(i, k), shiftMm[k] - shiftMm[k - 1]);
    }
    const reach = wish.toleranceMm + missedMm + SHIFT_TOLERANCE_MM;
    return [
      { left, relation: '<=', right: wish.shiftToRightMm + reach },
      { left, relation: '>=', right: wish.shiftToRightMm - reach },
    ];
  }

  /** sign · (lower − share · upper) ≤ outside, with both sums less what is taken. */
  private bandRows(): readonly Constraint[] {
    return this.bands.flatMap((band, b) => {
      const row = (percent: number, sign: 1 | -1): Constraint => {
        const share = percent / 100;
        const left = new Map<string, number>([[`outside${b}`, 1]]);
        const set = (name: string, takenMm: number, arch: 0 | 1) => {
          if (takenMm !== 0) left.set(name, sign * takenMm * (arch === 1 ? 1 : -share));
        };
        for (const [i, { arch, bound, takenMm }] of this.contacts.entries()) {
          const taken = takenMm[b];
          if (!this.bent.includes(i)) set(total(i), bound > 0 ? taken[1] : 0, arch);
          else for (const k of upTo(bound)) set(single(i, k), taken[k] - taken[k - 1], arch);
        }
        return { left, relation: '>=', right: sign * (band.lowerSumMm - share * band.upperSumMm) };
      };
      return [row(band.highPercent, 1), row(band.lowPercent, -1)];
    });
  }

  /** A minimum with single steps for the contacts named, or null where the rules leave none. */
  private solved(
    minimise: Linear,
    rules: readonly Constraint[],
    singled: readonly number[],
    bounds: readonly number[],
  ): readonly number[] | null {
    const integers = new Map(bounds.map((bound, i) => [total(i), bound]));
    const stairs: Constraint[] = [];
    for (const i of new Set([...singled, ...this.bent])) {
      const names = upTo(this.bent.includes(i) ? this.contacts[i].bound : bounds[i]).map((k) => single(i, k));
      for (const name of names) integers.set(name, 1);
      const left = new Map([[total(i), -1], ...names.map((name) => [name, 1] as const)]);
      stairs.push({ left, relation: '=', right: 0 });
      for (const [k, name] of names.slice(1).entries())
        stairs.push({
          left: new Map([
            [names[k], 1],
            [name, -1],
          ]),
          relation: '>=',
          right: 0,
        });
    }
    const constraints = [...this.base, ...stairs, ...rules].filter(({ left }) => left.size > 0);
    const found = minimum(this.solver, { minimise, constraints, integers });
    return found && this.contacts.map((_, i) => Math.round(found.get(total(i)) ?? 0));
  }
}

/** One figure for the upper and one for the lower arch. */
export type Shares = readonly [number, number];

const RATIO = 1e-9; // two shares that differ by less are one

/** First of a rising list for which the question is answered with yes, as it is for all after it; the last is. */
function firstWhere(list: readonly number[], isEnough: (value: number) => boolean): number {
  let low = 0;
  let high = list.length - 1;
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (isEnough(list[middle])) high = middle;
    else low = middle + 1;
  }
  return list[high];
}

const total = (contact: number): string => `x${contact}`;
const single = (contact: number, step: number): string => `s${contact}_${step}`;
const upTo = (most: number): readonly number[] => Array.from({ length: most }, (_, k) => k + 1);

export const worstShare = (
  contacts: readonly JointContact[],
  steps: readonly number[],
  arch: number,
): number =>
  Math.max(0, ...contacts.map((c, i) => (c.arch === arch && steps[i] > 0 ? steps[i] / c.capacity : 0)));

/** What is taken grows by the same with every step. */
const isStraight = (takenMm: readonly number[]): boolean =>
  takenMm.every((taken, k) => Math.abs(taken - k * (takenMm[1] ?? 0)) < 1e-9);

/** Largest weight of a preferred contact; the solver tells one from nothing beside it. */
const WEIGHT_MAX = 1e4;
const MULTIPLE_MAX = 1e6;

/** Least common multiple, so that squares ÷ capacities are whole numbers; given up above a million. */
function leastCommonMultiple(values: readonly number[]): number {
  const divisor = (a: number, b: number): number => (b === 0 ? a : divisor(b, a % b));
  const multiple = values.reduce((m, v) => (m / divisor(m, v)) * v, 1);
  return Math.min(multiple, MULTIPLE_MAX);
}
