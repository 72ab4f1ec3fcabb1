import { hypot3 } from '../base/hypot.ts';
import { Refusal } from '../base/refusal.ts';
import { bounds } from './bounds.ts';
import { duplicateFaces, type MeshEdges, meshEdges } from './meshEdges.ts';
import type { RawMesh } from './readers/RawMesh.ts';
import type { ScanFinding, ScanMesh, ScanShape } from './ScanMesh.ts';
import { flatFaces, vertexNormals } from './vertexNormals.ts';
import { type WeldedMesh, weld, withoutFaces } from './weld.ts';

const MEDIAN_SAMPLE_FACES = 20_000;

/** A mesh fit for measuring, its shape, and every repair and remark on the way. */
export interface RepairedMesh {
  readonly mesh: ScanMesh;
  readonly shape: ScanShape;
  readonly findings: readonly ScanFinding[];
}

/**
 * Welds a mesh, drops faces without area and repeated faces, and looks at how the rest hangs together.
 *
 * Units:    mm in and out.
 * Refuses:  'no-triangles' where no face is left.
 */
export function repairMesh(raw: RawMesh): RepairedMesh {
  const { unusedVertexCount, ...welded } = weld(raw);
  let current: WeldedMesh = welded;
  let normals = vertexNormals(current.positions, current.indices);
  const degenerate = normals.flatFaceCount;
  if (degenerate > 0) {
    current = withoutFaces(current, flatFaces(current.positions, current.indices));
    refuseNothing(current, raw, degenerate);
    normals = vertexNormals(current.positions, current.indices);
  }
  let edges = meshEdges(current.positions.length / 3, current.indices);
  const duplicates = mayRepeat(edges) ? duplicateFaces(current.indices) : null;
  if (duplicates && duplicates.count > 0) {
    current = withoutFaces(current, duplicates.drop);
    normals = vertexNormals(current.positions, current.indices);
    edges = meshEdges(current.positions.length / 3, current.indices);
  }
  const counts = {
    polygons: raw.polygonCount,
    degenerate,
    duplicates: duplicates?.count ?? 0,
    unused: unusedVertexCount,
  };
  return {
    mesh: { ...current, normals: normals.normals },
    shape: { ...shapeOf(current, edges), areaMm2: normals.areaMm2 },
    findings: findingsOf(counts, edges),
  };
}

/** A repeated face gives its edges a third face or one of the same direction, or is a part of its own. */
const mayRepeat = (edges: MeshEdges): boolean =>
  edges.nonManifoldEdgeCount + edges.disagreeingEdgeCount > 0 ||
  edges.componentCount > 1 ||
  edges.boundaryEdgeCount === 0;

function refuseNothing(mesh: WeldedMesh, raw: RawMesh, dropped: number): void {
  if (mesh.indices.length > 0) return;
  throw new Refusal(
    'no-triangles',
    `repairMesh: no face has an area; got ${raw.indices.length / 3} faces, all ${dropped} degenerate, need at least 1. Export the scan again.`,
    { dropped },
  );
}

function shapeOf({ positions, indices }: WeldedMesh, edges: MeshEdges): Omit<ScanShape, 'areaMm2'> {
  const { boundsMinMm, boundsMaxMm } = bounds(positions);
  return {
    componentCount: edges.componentCount,
    boundaryEdgeCount: edges.boundaryEdgeCount,
    boundaryLoopCount: edges.boundaryLoopCount,
    nonManifoldEdgeCount: edges.nonManifoldEdgeCount,
    boundsMinMm,
    boundsMaxMm,
    medianEdgeMm: medianEdgeMm(positions, indices),
  };
}

/** Median edge length, over evenly spread faces where there are many. */
function medianEdgeMm(positions: Float32Array, indices: Uint32Array): number {
  const faceCount = indices.length / 3;
  const step = Math.max(1, Math.floor(faceCount / MEDIAN_SAMPLE_FACES));
  const lengths = new Float64Array(Math.ceil(faceCount / step) * 3);
  let n = 0;
  for (let face = 0; face < faceCount; face += step) {
    for (let k = 0; k < 3; k++) {
      const p = indices[3 * face + k] * 3;
      const q = indices[3 * face + ((k + 1) % 3)] * 3;
      lengths[n++] = hypot3(
        positions[p] - positions[q],
        positions[p + 1] - positions[q + 1],
        positions[p + 2] - positions[q + 2],
      );
    }
  }
  return lengths.sort()[Math.floor(n / 2)];
}

/** "1 edge", "2 edges" */
const counted = (count: number, one: string, many = `${one}s`): string =>
  `${count.toLocaleString('en-GB')} ${count === 1 ? one : many}`;

function findingsOf(
  counts: { polygons: number; degenerate: number; duplicates: number; unused: number },
  edges: MeshEdges,
): readonly ScanFinding[] {
  const all: readonly ScanFinding[] = [
    {
      code: 'polygons-triangulated',
      count: counts.polygons,
      message: `${counted(counts.polygons, 'polygon')} cut into triangles.`,
    },
    {
      code: 'degenerate-faces-dropped',
      count: counts.degenerate,
      message: `${counted(counts.degenerate, 'face')} without area left out.`,
    },
    {
      code: 'duplicate-faces-dropped',
      count: counts.duplicates,
      message: `${counted(counts.duplicates, 'repeated face')} left out.`,
    },
    {
      code: 'unused-vertices-dropped',
      count: counts.unused,
      message: `${counted(counts.unused, 'vertex', 'vertices')} that no face uses left out.`,
    },
    {
      code: 'non-manifold-edges',
      count: edges.nonManifoldEdgeCount,
      message: `${counted(edges.nonManifoldEdgeCount, 'edge')} of more than two faces.`,
    },
    {
      code: 'open-boundary',
      count: edges.boundaryLoopCount,
      message: `The surface is open along ${counted(edges.boundaryLoopCount, 'border')} (${counted(edges.boundaryEdgeCount, 'edge')}).`,
    },
    {
      code: 'several-components',
      count: edges.componentCount > 1 ? edges.componentCount : 0,
      message: `The surface has ${counted(edges.componentCount, 'separate part')}.`,
    },
    {
      code: 'normals-disagree',
      count: edges.disagreeingEdgeCount,
      message: `The faces on the two sides of ${counted(edges.disagreeingEdgeCount, 'edge')} disagree about which side is outside.`,
    },
  ];
  return all.filter((finding) => finding.count > 0);
}
