/** Points in cells, so that those near a place are found without looking at all. */
export interface PointGrid {
  /** Calls `visit` with the numbers of all points within one cell size of a place, and some beyond. */
  near(x: number, y: number, z: number, visit: (point: number) => void): void;
}

/** `values`: 7 numbers per point, the place first, as in LocalPatch. */
export function makePointGrid(values: Float64Array, count: number, cellMm: number): PointGrid {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < count; i++)
    for (let k = 0; k < 3; k++) {
      low[k] = Math.min(low[k], values[7 * i + k]);
      high[k] = Math.max(high[k], values[7 * i + k]);
    }
  const [nx, ny, nz] = low.map((from, k) => (count > 0 ? Math.floor((high[k] - from) / cellMm) + 1 : 1));
  const place = (x: number, k: number): number => Math.floor((x - low[k]) / cellMm);
  const cellOf = (i: number): number =>
    (place(values[7 * i], 0) * ny + place(values[7 * i + 1], 1)) * nz + place(values[7 * i + 2], 2);
  const start = new Int32Array(nx * ny * nz + 1);
  for (let i = 0; i < count; i++) start[cellOf(i) + 1]++;
  for (let c = 0; c < nx * ny * nz; c++) start[c + 1] += start[c];
  const fill = start.slice();
  const points = new Int32Array(count);
  for (let i = 0; i < count; i++) points[fill[cellOf(i)]++] = i;
  return {
    near(x, y, z, visit) {
      const [i, j, k] = [place(x, 0), place(y, 1), place(z, 2)];
      const kFrom = Math.max(0, k - 1);
      const kTo = Math.min(nz - 1, k + 1);
      if (kFrom > kTo) return;
      for (let a = Math.max(0, i - 1); a <= Math.min(nx - 1, i + 1); a++)
        for (let b = Math.max(0, j - 1); b <= Math.min(ny - 1, j + 1); b++) {
          const row = (a * ny + b) * nz;
          for (let p = start[row + kFrom]; p < start[row + kTo + 1]; p++) visit(points[p]);
        }
    },
  };
}
