import type { BenchCase, BenchRow } from './BenchCase.ts';

/** Runs a case: one warm-up of each side, then ours and reference in turn; medians per thing done. */
export async function measureCase({ name, triangles, rounds, setUp }: BenchCase): Promise<BenchRow> {
  const { ours, reference, repeats = 1 } = await setUp();
  const oursTimes: number[] = [];
  const referenceTimes: number[] = [];
  for (let round = -1; round < rounds; round++) {
    const oursMs = await timed(ours);
    const referenceMs = reference ? await timed(reference) : Number.NaN;
    if (round < 0) continue;
    oursTimes.push(oursMs / repeats);
    referenceTimes.push(referenceMs / repeats);
  }
  const oursMs = median(oursTimes);
  const referenceMs = reference ? median(referenceTimes) : null;
  return { name, triangles, oursMs, referenceMs, ratio: referenceMs === null ? null : referenceMs / oursMs };
}

/** Results are kept here, so that no work can be optimised away. */
export const consumed: unknown[] = [null];

async function timed(body: () => unknown): Promise<number> {
  consumed[0] = null;
  globalThis.gc?.();
  const start = performance.now();
  const result = body();
  consumed[0] = result instanceof Promise ? await result : result;
  return performance.now() - start;
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length >> 1;
  return sorted.length % 2 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
}
