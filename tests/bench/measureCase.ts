import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import type { BenchCase, BenchRow } from './BenchCase.ts';

setFlagsFromString('--expose-gc');
const collectGarbage = runInNewContext('gc') as () => void;

/** About this many triangles are worked through in one turn, so that small cases are not all warm-up. */
const TRIANGLES_A_TURN = 1_000_000;

/**
 * Runs a case: one unmeasured turn of each side, then ours and reference in turn, each turn on a clean heap and
 * long enough to be past its own warm-up; medians of all runs, per thing done.
 */
export async function measureCase({ name, triangles, rounds, setUp }: BenchCase): Promise<BenchRow> {
  const { ours, reference, repeats = 1 } = await setUp();
  const runs = repeats > 1 || triangles === 0 ? 1 : Math.max(1, Math.round(TRIANGLES_A_TURN / triangles));
  const oursTimes: number[] = [];
  const referenceTimes: number[] = [];
  for (let round = -1; round < rounds; round++) {
    const oursTurn = await turn(ours, runs);
    const referenceTurn = reference ? await turn(reference, runs) : [];
    if (round < 0) continue;
    oursTimes.push(...oursTurn);
    referenceTimes.push(...referenceTurn);
  }
  const oursMs = median(oursTimes) / repeats;
  const referenceMs = reference ? median(referenceTimes) / repeats : null;
  return { name, triangles, oursMs, referenceMs, ratio: referenceMs === null ? null : referenceMs / oursMs };
}

async function turn(body: () => unknown, runs: number): Promise<number[]> {
  // Without this, ours pays for collecting the garbage of the stock way.
  consumed[0] = null;
  collectGarbage();
  const times: number[] = [];
  for (let run = 0; run < runs; run++) times.push(await timed(body));
  return times;
}

/** Results are kept here, so that no work can be optimised away. */
export const consumed: unknown[] = [null];

async function timed(body: () => unknown): Promise<number> {
  consumed[0] = null;
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
