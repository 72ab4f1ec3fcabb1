/** A mesh ready for drawing: shared vertex arrays and one index per block of space, so that a close-up draws little. */
export interface DisplayParts {
  readonly positions: Float32Array; // 3 per vertex, mm
  readonly normals: Float32Array; // 3 per vertex
  readonly cavity: Float32Array; // 1 per vertex, −1 (ridge) to 1 (groove)
  readonly colors: Uint8Array | null; // 3 per vertex
  readonly blocks: readonly DisplayBlock[];
  readonly samples: Float32Array; // some vertices, 3 each, for fitting the view
}

export interface DisplayBlock {
  readonly indices: Uint32Array; // 3 per face
  readonly centreMm: readonly [number, number, number];
  readonly radiusMm: number;
}

interface DrawableMesh {
  readonly positions: Float32Array;
  readonly indices: Uint32Array;
  readonly normals: Float32Array;
  readonly colors?: Uint8Array | null;
}

const BLOCK_MM = 14;
/** Curvature (1/mm) shown as a full groove or ridge. */
const FULL_CURVATURE_PER_MM = 1.6;
const SAMPLES = 4000;

/** Work is cut into slices; after this long the page gets its turn. */
const SLICE_MS = 8;
const SLICE = 8192;

const pause = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0));

export async function inSlices(
  count: number,
  work: (from: number, to: number) => void,
  slice = SLICE,
): Promise<void> {
  let started = performance.now();
  for (let from = 0; from < count; from += slice) {
    work(from, Math.min(count, from + slice));
    if (performance.now() - started < SLICE_MS) continue;
    await pause();
    started = performance.now();
  }
}

/**
 * Splits a mesh into blocks and rates each vertex as groove or ridge, in slices that leave the page free.
 * A display mesh has about 100,000 triangles.
 */
export async function displayParts(mesh: DrawableMesh): Promise<DisplayParts> {
  const cavity = await vertexCavity(mesh);
  const blocks = await spatialBlocks(mesh);
  const { positions } = mesh;
  const step = Math.max(1, Math.floor(positions.length / 3 / SAMPLES));
  const samples = new Float32Array(Math.ceil(positions.length / 3 / step) * 3);
  for (let v = 0, k = 0; v < positions.length / 3; v += step, k += 3) {
    samples[k] = positions[3 * v];
    samples[k + 1] = positions[3 * v + 1];
    samples[k + 2] = positions[3 * v + 2];
  }
  return { positions, normals: mesh.normals, cavity, colors: mesh.colors ?? null, blocks, samples };
}

/** Mean normal curvature along the edges at each vertex, smoothed once over the neighbours; for shading only. */
async function vertexCavity({ positions, normals, indices }: DrawableMesh): Promise<Float32Array> {
  const vertexCount = positions.length / 3;
  const faceCount = indices.length / 3;
  const sum = new Float32Array(vertexCount);
  const count = new Uint16Array(vertexCount);
  const own = new Float32Array(vertexCount);
  await inSlices(faceCount, (from, to) => addCurvature(positions, normals, indices, sum, count, from, to));
  await inSlices(vertexCount, (from, to) => {
    for (let v = from; v < to; v++) own[v] = count[v] > 0 ? sum[v] / count[v] : 0;
  });
  sum.fill(0);
  await inSlices(faceCount, (from, to) => {
    for (let f = 3 * from; f < 3 * to; f += 3) {
      const a = indices[f];
      const b = indices[f + 1];
      const c = indices[f + 2];
      sum[a] += own[b] + own[c];
      sum[b] += own[a] + own[c];
      sum[c] += own[a] + own[b];
    }
  });
  await inSlices(vertexCount, (from, to) => {
    for (let v = from; v < to; v++) {
      const smooth = count[v] > 0 ? (own[v] + sum[v] / count[v]) / 2 : 0;
      own[v] = Math.max(-1, Math.min(1, smooth / FULL_CURVATURE_PER_MM));
    }
  });
  return own;
}

/** Adds the normal curvature along each edge of faces `from`–`to` to both its ends. */
function addCurvature(
  positions: Float32Array,
  normals: Float32Array,
  indices: Uint32Array,
  sum: Float32Array,
  count: Uint16Array,
  from: number,
  to: number,
): void {
  for (let f = 3 * from; f < 3 * to; f += 3) {
    for (let k = 0; k < 3; k++) {
      const a = indices[f + k];
      const b = indices[f + (k === 2 ? 0 : k + 1)];
      const dx = positions[3 * b] - positions[3 * a];
      const dy = positions[3 * b + 1] - positions[3 * a + 1];
      const dz = positions[3 * b + 2] - positions[3 * a + 2];
      const squared = dx * dx + dy * dy + dz * dz;
      if (squared < 1e-10) continue;
      sum[a] += (2 * (dx * normals[3 * a] + dy * normals[3 * a + 1] + dz * normals[3 * a + 2])) / squared;
      sum[b] -= (2 * (dx * normals[3 * b] + dy * normals[3 * b + 1] + dz * normals[3 * b + 2])) / squared;
      count[a]++;
      count[b]++;
    }
  }
}

/** Corners of the box around faces `from`–`to` of an index. */
function boxOf(positions: Float32Array, indices: Uint32Array, from: number, to: number): Float64Array {
  const box = new Float64Array([Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity]);
  for (let i = 3 * from; i < 3 * to; i++) {
    const v = 3 * indices[i];
    for (let k = 0; k < 3; k++) {
      const value = positions[v + k];
      if (value < box[k]) box[k] = value;
      if (value > box[k + 3]) box[k + 3] = value;
    }
  }
  return box;
}

async function spatialBlocks({ positions, indices }: DrawableMesh): Promise<readonly DisplayBlock[]> {
  const faceCount = indices.length / 3;
  const box = new Float64Array([Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity]);
  await inSlices(faceCount, (from, to) => {
    const part = boxOf(positions, indices, from, to);
    for (let k = 0; k < 3; k++) {
      box[k] = Math.min(box[k], part[k]);
      box[k + 3] = Math.max(box[k + 3], part[k + 3]);
    }
  });
  const cells = [0, 1, 2].map((k) =>
    Math.max(1, Math.min(16, Math.ceil((box[k + 3] - box[k]) / BLOCK_MM) || 1)),
  );
  const perMm = [0, 1, 2].map((k) => cells[k] / (box[k + 3] - box[k] || 1));
  const cellOf = new Uint16Array(faceCount);
  const starts = new Uint32Array(cells[0] * cells[1] * cells[2] + 1);
  await inSlices(faceCount, (from, to) => {
    for (let f = from; f < to; f++) {
      let cell = 0;
      const v = 3 * indices[3 * f];
      for (let k = 2; k >= 0; k--) {
        const at = Math.min(cells[k] - 1, Math.floor((positions[v + k] - box[k]) * perMm[k]));
        cell = cell * cells[k] + at;
      }
      cellOf[f] = cell;
      starts[cell + 1]++;
    }
  });
  for (let c = 1; c < starts.length; c++) starts[c] += starts[c - 1];
  const next = starts.slice();
  const sorted = new Uint32Array(indices.length);
  await inSlices(faceCount, (from, to) => {
    for (let f = from; f < to; f++) {
      const slot = 3 * next[cellOf[f]]++;
      sorted[slot] = indices[3 * f];
      sorted[slot + 1] = indices[3 * f + 1];
      sorted[slot + 2] = indices[3 * f + 2];
    }
  });
  const blocks: DisplayBlock[] = [];
  await inSlices(starts.length - 1, (from, to) => {
    for (let c = from; c < to; c++) {
      if (starts[c + 1] > starts[c])
        blocks.push(blockOf(sorted.subarray(3 * starts[c], 3 * starts[c + 1]), positions));
    }
  });
  return blocks;
}

function blockOf(indices: Uint32Array, positions: Float32Array): DisplayBlock {
  const box = boxOf(positions, indices, 0, indices.length / 3);
  return {
    indices,
    centreMm: [(box[0] + box[3]) / 2, (box[1] + box[4]) / 2, (box[2] + box[5]) / 2],
    radiusMm: Math.hypot(box[3] - box[0], box[4] - box[1], box[5] - box[2]) / 2,
  };
}
