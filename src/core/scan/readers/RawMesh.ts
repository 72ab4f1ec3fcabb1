import type { ScanFormat } from '../ScanMesh.ts';

/** What a reader finds in a file: triangles in the file's own unit and order, before any repair. */
export interface RawMesh {
  readonly format: ScanFormat;
  readonly positions: Float32Array; // 3 per vertex, file unit, finite
  readonly indices: Uint32Array; // 3 per face, each below the vertex count
  readonly colors: Uint8Array | null; // 3 per vertex, sRGB 0–255
  /** True where equal positions already share one vertex, every vertex is used and -0 is 0. */
  readonly welded: boolean;
  /** Polygons of more than three corners that were cut into triangles. */
  readonly polygonCount: number;
}

/** Called now and then while reading; `doneRatio` grows from 0 to 1. */
export type ReadProgress = (doneRatio: number) => void;

/** More triangles than any arch scan has; a guard for the memory of the machine, not a technical limit. */
export const MAX_TRIANGLES = 20_000_000;

/** Largest file taken, bytes: a binary STL of MAX_TRIANGLES. */
export const MAX_FILE_BYTES = 84 + 50 * MAX_TRIANGLES;
