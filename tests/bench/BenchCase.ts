/** One comparison: our way and the stock way to the same result, on data made before the clock starts. */
export interface BenchCase {
  readonly name: string;
  readonly triangles: number;
  /** Rounds of ours and reference in turn; the medians are reported. */
  readonly rounds: number;
  setUp(): BenchBodies | Promise<BenchBodies>;
}

export interface BenchBodies {
  ours(): unknown;
  /** The stock way; null where there is none, then only our time is reported. */
  readonly reference: (() => unknown) | null;
  /** How often the bodies do the thing; times are reported per thing. Default 1. */
  readonly repeats?: number;
}

export interface BenchRow {
  readonly name: string;
  readonly triangles: number;
  readonly oursMs: number;
  readonly referenceMs: number | null;
  /** Reference ÷ ours: above 1 ours is faster. */
  readonly ratio: number | null;
}

/** Triangles of the meshes the speed goals are set for. */
export const SIZES = [200_000, 1_000_000, 2_000_000] as const;
