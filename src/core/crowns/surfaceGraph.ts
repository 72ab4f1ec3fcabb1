import { hypot3 } from '../base/hypot.ts';
import type { ScanMesh } from '../scan/ScanMesh.ts';

/**
 * The scan surface thinned to one node per occupied grid cell and facing side, with the links between cells that the mesh
 * joins. It makes everything that follows independent of how finely the scanner meshed.
 */
export interface SurfaceGraph {
  readonly cellMm: number;
  readonly nodeCount: number;
  readonly nodeOfVertex: Uint32Array; // 1 per mesh vertex
  readonly positionsMm: Float32Array; // 3 per node, the mesh's frame, mean of the cell's vertices
  readonly normals: Float32Array; // 3 per node, unit
  readonly linkStart: Uint32Array; // nodeCount + 1 offsets into links
  readonly links: Uint32Array; // neighbouring nodes
  readonly onBoundary: Uint8Array; // 1 where the cell touches an open border of the scan
}

const CELL_MM = 0.25;

/**
 * Thins a mesh to a graph of about 0.25 mm spacing.
 *
 * Shape:  mesh with vertex normals; cellMm > 0.
 * Units:  mm.
 */
export function surfaceGraph(mesh: ScanMesh, cellMm: number = CELL_MM): SurfaceGraph {
  const { positions, indices, normals } = mesh;
  const vertexCount = positions.length / 3;
  const { nodeOfVertex, nodeCount } = cells(positions, normals, cellMm);
  const sum = new Float64Array(nodeCount * 3);
  const normalSum = new Float32Array(nodeCount * 3);
  const members = new Uint32Array(nodeCount);
  for (let v = 0; v < vertexCount; v++) {
    const n = nodeOfVertex[v];
    members[n]++;
    for (let k = 0; k < 3; k++) {
      sum[3 * n + k] += positions[3 * v + k];
      normalSum[3 * n + k] += normals[3 * v + k];
    }
  }
  const positionsMm = new Float32Array(nodeCount * 3);
  for (let n = 0; n < nodeCount; n++) {
    for (let k = 0; k < 3; k++) positionsMm[3 * n + k] = sum[3 * n + k] / members[n];
  }
  unit(normalSum);
  const { linkStart, links, onBoundary } = linkNodes(indices, nodeOfVertex, nodeCount, vertexCount);
  return { cellMm, nodeCount, nodeOfVertex, positionsMm, normals: normalSum, linkStart, links, onBoundary };
}

function cells(
  positions: Float32Array,
  normals: Float32Array,
  cellMm: number,
): { nodeOfVertex: Uint32Array; nodeCount: number } {
  const vertexCount = positions.length / 3;
  const min = [Infinity, Infinity, Infinity];
  for (let i = 0; i < positions.length; i++) if (positions[i] < min[i % 3]) min[i % 3] = positions[i];
  const capacity = 1 << Math.ceil(Math.log2(vertexCount * 2 + 16));
  const keys = new Float64Array(capacity).fill(-1);
  const values = new Uint32Array(capacity);
  const nodeOfVertex = new Uint32Array(vertexCount);
  let nodeCount = 0;
  for (let v = 0; v < vertexCount; v++) {
    const x = Math.floor((positions[3 * v] - min[0]) / cellMm);
    const y = Math.floor((positions[3 * v + 1] - min[1]) / cellMm);
    const z = Math.floor((positions[3 * v + 2] - min[2]) / cellMm);
    const side = facingSide(normals, 3 * v);
    const key = ((x * 16384 + y) * 16384 + z) * 6 + side;
    let slot =
      (Math.imul(x, 73856093) ^
        Math.imul(y, 19349663) ^
        Math.imul(z, 83492791) ^
        Math.imul(side, 1540483477)) &
      (capacity - 1);
    while (keys[slot] !== -1 && keys[slot] !== key) slot = (slot + 1) & (capacity - 1);
    if (keys[slot] === -1) {
      keys[slot] = key;
      values[slot] = nodeCount++;
    }
    nodeOfVertex[v] = values[slot];
  }
  return { nodeOfVertex, nodeCount };
}

/** Which of six ways a normal points most; keeps the two walls of a narrow cleft in different cells. */
function facingSide(normals: Float32Array, at: number): number {
  const [x, y, z] = [Math.abs(normals[at]), Math.abs(normals[at + 1]), Math.abs(normals[at + 2])];
  const axis = x >= y && x >= z ? 0 : y >= z ? 1 : 2;
  return 2 * axis + (normals[at + axis] < 0 ? 1 : 0);
}

/** Scales every 3-vector of a flat array to unit length; zero vectors stay zero. */
export function unit(vectors: Float32Array): void {
  for (let i = 0; i < vectors.length; i += 3) {
    const l = hypot3(vectors[i], vectors[i + 1], vectors[i + 2]);
    if (l === 0) continue;
    vectors[i] /= l;
    vectors[i + 1] /= l;
    vectors[i + 2] /= l;
  }
}

function linkNodes(
  indices: Uint32Array,
  nodeOfVertex: Uint32Array,
  nodeCount: number,
  vertexCount: number,
): Pick<SurfaceGraph, 'linkStart' | 'links' | 'onBoundary'> {
  const borderVertices = openBorder(indices, vertexCount);
  const onBoundary = new Uint8Array(nodeCount);
  for (let v = 0; v < vertexCount; v++) if (borderVertices[v]) onBoundary[nodeOfVertex[v]] = 1;
  const degree = new Uint32Array(nodeCount + 1);
  for (let i = 0; i < indices.length; i++) {
    const a = nodeOfVertex[indices[i]];
    const b = nodeOfVertex[indices[i % 3 === 2 ? i - 2 : i + 1]];
    if (a !== b) {
      degree[a + 1]++;
      degree[b + 1]++;
    }
  }
  for (let n = 0; n < nodeCount; n++) degree[n + 1] += degree[n];
  const fill = degree.slice(0, nodeCount);
  const raw = new Uint32Array(degree[nodeCount]);
  for (let i = 0; i < indices.length; i++) {
    const a = nodeOfVertex[indices[i]];
    const b = nodeOfVertex[indices[i % 3 === 2 ? i - 2 : i + 1]];
    if (a === b) continue;
    raw[fill[a]++] = b;
    raw[fill[b]++] = a;
  }
  const linkStart = new Uint32Array(nodeCount + 1);
  const seen = new Uint32Array(nodeCount).fill(0xffffffff);
  let length = 0;
  for (let n = 0; n < nodeCount; n++) {
    for (let i = degree[n]; i < degree[n + 1]; i++) {
      if (seen[raw[i]] === n) continue;
      seen[raw[i]] = n;
      raw[length++] = raw[i];
    }
    linkStart[n + 1] = length;
  }
  return { linkStart, links: raw.slice(0, length), onBoundary };
}

/** Vertices on edges that bound one face only: at such a vertex the in- and outgoing half-edges do not cancel. */
function openBorder(indices: Uint32Array, vertexCount: number): Uint8Array {
  const balance = new Float64Array(vertexCount);
  for (let i = 0; i < indices.length; i++) {
    const a = indices[i];
    const b = indices[i % 3 === 2 ? i - 2 : i + 1];
    balance[a] += b + 1;
    balance[b] -= a + 1;
  }
  return Uint8Array.from(balance, (sum) => (sum === 0 ? 0 : 1));
}
