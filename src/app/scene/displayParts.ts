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

const pause = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0));

/**
 * Splits a mesh into blocks and rates each vertex as groove or ridge, in steps short enough to leave the page
 * free (each step is one or two passes over the mesh; a display mesh has about 100,000 triangles).
 */
export async function displayParts(mesh: DrawableMesh): Promise<DisplayParts> {
  const cavity = await vertexCavity(mesh);
  await pause();
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
  const sum = new Float32Array(vertexCount);
  const count = new Uint16Array(vertexCount);
  for (let f = 0; f < indices.length; f += 3) {
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
  await pause();
  const own = new Float32Array(vertexCount);
  for (let v = 0; v < vertexCount; v++) own[v] = count[v] > 0 ? sum[v] / count[v] : 0;
  sum.fill(0);
  for (let f = 0; f < indices.length; f += 3) {
    const a = indices[f];
    const b = indices[f + 1];
    const c = indices[f + 2];
    sum[a] += own[b] + own[c];
    sum[b] += own[a] + own[c];
    sum[c] += own[a] + own[b];
  }
  for (let v = 0; v < vertexCount; v++) {
    const smooth = count[v] > 0 ? (own[v] + sum[v] / count[v]) / 2 : 0;
    own[v] = Math.max(-1, Math.min(1, smooth / FULL_CURVATURE_PER_MM));
  }
  return own;
}

async function spatialBlocks({ positions, indices }: DrawableMesh): Promise<readonly DisplayBlock[]> {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < positions.length; i += 3) {
    for (let k = 0; k < 3; k++) {
      const value = positions[i + k];
      if (value < low[k]) low[k] = value;
      if (value > high[k]) high[k] = value;
    }
  }
  const cells = [0, 1, 2].map((k) =>
    Math.max(1, Math.min(16, Math.ceil((high[k] - low[k]) / BLOCK_MM) || 1)),
  );
  const perMm = [0, 1, 2].map((k) => cells[k] / (high[k] - low[k] || 1));
  const faceCount = indices.length / 3;
  const cellOf = new Uint16Array(faceCount);
  const starts = new Uint32Array(cells[0] * cells[1] * cells[2] + 1);
  for (let f = 0; f < faceCount; f++) {
    let cell = 0;
    const v = 3 * indices[3 * f];
    for (let k = 2; k >= 0; k--) {
      const at = Math.min(cells[k] - 1, Math.floor((positions[v + k] - low[k]) * perMm[k]));
      cell = cell * cells[k] + at;
    }
    cellOf[f] = cell;
    starts[cell + 1]++;
  }
  for (let c = 1; c < starts.length; c++) starts[c] += starts[c - 1];
  const next = starts.slice();
  const sorted = new Uint32Array(indices.length);
  for (let f = 0; f < faceCount; f++) {
    const slot = 3 * next[cellOf[f]]++;
    sorted[slot] = indices[3 * f];
    sorted[slot + 1] = indices[3 * f + 1];
    sorted[slot + 2] = indices[3 * f + 2];
  }
  await pause();
  const blocks: DisplayBlock[] = [];
  for (let c = 0; c + 1 < starts.length; c++) {
    if (starts[c + 1] === starts[c]) continue;
    blocks.push(blockOf(sorted.subarray(3 * starts[c], 3 * starts[c + 1]), positions));
  }
  return blocks;
}

function blockOf(indices: Uint32Array, positions: Float32Array): DisplayBlock {
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  for (const v of indices) {
    for (let k = 0; k < 3; k++) {
      const value = positions[3 * v + k];
      if (value < low[k]) low[k] = value;
      if (value > high[k]) high[k] = value;
    }
  }
  return {
    indices,
    centreMm: [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2],
    radiusMm: Math.hypot(high[0] - low[0], high[1] - low[1], high[2] - low[2]) / 2,
  };
}
