import { describe, expect, it } from 'vitest';
import {
  type CutRecord,
  type CuttingHabit,
  cutRegion,
  cutSdMm,
  habitFromPrior,
  habitOf,
  learnHabit,
  ratioSd,
  spreadMm,
} from '../../../src/core/reduction/cuttingHabit.ts';
import { CUTTING_PRIORS, cuttingPrior, RATIO_SD_BETWEEN } from '../../../src/core/reduction/cuttingPriors.ts';
import { seeded } from '../../support/markArches.ts';

const rounded = cuttingPrior('rounded')!;

/** Cuts by a hand of known ratio and spread. */
function cuts(count: number, ratio: number, spread: number, seed: number): CutRecord[] {
  const { uniform, normal } = seeded(seed);
  return Array.from({ length: count }, () => {
    const plannedMm = 0.1 + 0.4 * uniform();
    const performedMm = ratio * plannedMm + Math.sqrt(spread * plannedMm) * normal();
    return { teeth: [41, 31], plannedMm, performedMm, instrument: 'strip' };
  });
}

/** The belief once more by the plainest way: prior times likelihood summed over a grid of ratio and spread. */
function byGrid(habit: CuttingHabit, records: readonly CutRecord[]) {
  const sums = { weight: 0, ratio: 0, spread: 0 };
  for (let logSpread = Math.log(1e-4); logSpread < Math.log(20); logSpread += 0.02) {
    const spread = Math.exp(logSpread);
    for (let ratio = -1.5; ratio < 2.5; ratio += 0.005) {
      let log = -habit.shape * logSpread - habit.rateMm / spread; // inverse gamma over the logarithm
      log += -0.5 * logSpread - (habit.weightMm * (ratio - habit.ratio) ** 2) / (2 * spread);
      for (const { plannedMm, performedMm } of records)
        log += -0.5 * logSpread - (performedMm - ratio * plannedMm) ** 2 / (2 * spread * plannedMm);
      const weight = Math.exp(log);
      sums.weight += weight;
      sums.ratio += weight * ratio;
      sums.spread += weight * spread;
    }
  }
  return { ratio: sums.ratio / sums.weight, spread: sums.spread / sums.weight };
}

describe('cutting habit', () => {
  it('a study as it stands: its ratio, and its spread at a cut of 0.3 mm', () => {
    for (const prior of CUTTING_PRIORS) {
      const habit = habitFromPrior(prior, 'lower');
      expect(habit.ratio).toBe(prior.ratio.lower);
      expect(cutSdMm(habit, 0.3)).toBeCloseTo(prior.sdMm.lower, 12);
      expect(ratioSd(habit)).toBeCloseTo(RATIO_SD_BETWEEN, 12);
    }
    // De Felice 2020: 44.95 and 37.02 %; Laganà 2021 disagrees with 100 %.
    expect(cuttingPrior('de-felice-2020')!.ratio).toEqual({ upper: 0.4495, lower: 0.3702 });
    expect(cuttingPrior('lagana-2021')!.ratio.upper).toBe(1);
    // √(0.16² − (0.17/0.31 · 0.17)²) = 0.1300; five ratios 0.410, 0.5, 0.542, 0.44, 1.003: SD 0.242.
    expect(cuttingPrior('hariharan-2022')!.sdMm.lower).toBeCloseTo(0.13, 3);
    expect(RATIO_SD_BETWEEN).toBeCloseTo(0.242, 3);
    expect(cuttingPrior('nobody')).toBeNull();
  });

  it.each([3, 12])('seed 5: %d cuts learned as by integration over a grid', (count) => {
    const habit = habitFromPrior(rounded, 'lower');
    const records = cuts(count, 0.85, 0.03, 5);
    const learned = learnHabit(habit, records);
    const grid = byGrid(habit, records);
    expect(learned.ratio).toBeCloseTo(grid.ratio, 4);
    expect(spreadMm(learned)).toBeCloseTo(grid.spread, 4);
  });

  it('order does not matter, nor whether cuts come one by one; the ratio is that of the sums', () => {
    const habit = habitFromPrior(rounded, 'upper');
    const records = cuts(20, 0.7, 0.05, 6);
    const all = learnHabit(habit, records);
    const byOne = [...records].reverse().reduce((known, record) => learnHabit(known, [record]), habit);
    for (const key of ['ratio', 'weightMm', 'shape', 'rateMm'] as const)
      expect(byOne[key]).toBeCloseTo(all[key], 10);
    const planned = records.reduce((sum, cut) => sum + cut.plannedMm, 0);
    const performed = records.reduce((sum, cut) => sum + cut.performedMm, 0);
    expect(all.ratio).toBeCloseTo(
      (habit.weightMm * habit.ratio + performed) / (habit.weightMm + planned),
      12,
    );
    expect(learnHabit(habit, [{ plannedMm: 0, performedMm: 0.1 }])).toEqual(habit);
  });

  it('seed 7: two thousand cuts show the hand they came from, whatever the study', () => {
    const records = cuts(2000, 0.9, 0.04, 7);
    for (const prior of CUTTING_PRIORS) {
      const learned = learnHabit(habitFromPrior(prior, 'lower'), records);
      expect(Math.abs(learned.ratio - 0.9)).toBeLessThan(4 * ratioSd(learned));
      expect(ratioSd(learned)).toBeLessThan(0.01);
      expect(spreadMm(learned)).toBeCloseTo(0.04, 2);
    }
  });

  it('front up to both canines, back as soon as one tooth lies behind them', () => {
    expect([
      cutRegion([43, 42]),
      cutRegion([32, 33]),
      cutRegion([33, 34]),
      cutRegion([34, 33]),
      cutRegion([11, 21]),
      cutRegion([25, 26]),
    ]).toEqual(['lower-front', 'lower-front', 'lower-back', 'lower-back', 'upper-front', 'upper-back']);
  });

  it('a cut with nothing planned, less than nothing, or no number found says nothing', () => {
    const habit = habitFromPrior(rounded, 'lower');
    for (const [plannedMm, performedMm] of [
      [0, 0.1],
      [-0.2, 0.1],
      [Number.NaN, 0.1],
      [0.2, Number.NaN],
      [0.2, Number.POSITIVE_INFINITY],
    ])
      expect(learnHabit(habit, [{ plannedMm, performedMm }])).toEqual(habit);
    expect(cutSdMm(habit, 0)).toBe(0);
    expect(cutSdMm(habit, -0.3)).toBe(0);
  });

  it('of upper and lower each its own study figure; cuts of another region count as cuts elsewhere', () => {
    const prior = cuttingPrior('de-felice-2020')!;
    const upper = habitOf([], prior, { instrument: 'strip', region: 'upper-back' });
    expect(upper.ratio).toBe(0.4495);
    const front = cuts(6, 1, 1e-4, 9);
    const behind = habitOf(front, rounded, { instrument: 'strip', region: 'lower-back' });
    expect(behind).toEqual(learnHabit(habitFromPrior(rounded, 'lower'), front, 0.25));
  });

  it('by instrument and region: cuts of the cell count in full, others for a quarter', () => {
    expect(cutRegion([43, 42])).toBe('lower-front');
    expect(cutRegion([14, 13])).toBe('upper-back');
    const strips = cuts(10, 1, 1e-4, 8);
    const burs = strips.map((cut): CutRecord => ({ ...cut, instrument: 'bur' }));
    const cell = { instrument: 'strip', region: 'lower-front' } as const;
    const own = habitOf(strips, rounded, cell);
    const other = habitOf(burs, rounded, cell);
    expect(own.ratio).toBeGreaterThan(other.ratio);
    expect(other.ratio).toBeGreaterThan(0.5);
    expect(other).toEqual(learnHabit(habitFromPrior(rounded, 'lower'), burs, 0.25));
    // Each cut counts once: those of the cell in full, not a quarter more.
    expect(habitOf([...burs, ...strips], rounded, cell)).toEqual(learnHabit(other, strips));
    expect(habitOf([], rounded, cell)).toEqual(habitFromPrior(rounded, 'lower'));
  });
});
