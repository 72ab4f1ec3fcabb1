import { type SurfaceGraph, unit } from './surfaceGraph.ts';

/** Bending of the surface at each node, 1/mm: positive on ridges and cusps, negative in grooves and margins. */
export interface SurfaceRelief {
  readonly normals: Float32Array; // 3 per node, smoothed, unit
  readonly bendPerMm: Float32Array; // mean of the normal curvatures along the links, lightly smoothed
}

const NORMAL_PASSES = 3;

/**
 * Relief of a scan: normals averaged over about 0.5 mm, then the mean turn of the normal along the links.
 *
 * Units:  1/mm; a sphere of radius r has 1/r everywhere.
 */
export function surfaceRelief(graph: SurfaceGraph): SurfaceRelief {
  let normals = graph.normals;
  for (let pass = 0; pass < NORMAL_PASSES; pass++) normals = averaged(graph, normals, 3);
  const bend = new Float32Array(graph.nodeCount);
  for (let a = 0; a < graph.nodeCount; a++) {
    const start = graph.linkStart[a];
    const end = graph.linkStart[a + 1];
    let sum = 0;
    for (let i = start; i < end; i++) sum += bendAlong(graph, normals, a, graph.links[i]);
    bend[a] = end > start ? sum / (end - start) : 0;
  }
  return { normals, bendPerMm: averaged(graph, bend, 1) };
}

/** Normal curvature along one link, 1/mm. */
export function bendAlong(graph: SurfaceGraph, normals: Float32Array, a: number, b: number): number {
  const p = graph.positionsMm;
  const dx = p[3 * b] - p[3 * a];
  const dy = p[3 * b + 1] - p[3 * a + 1];
  const dz = p[3 * b + 2] - p[3 * a + 2];
  const l2 = Math.max(dx * dx + dy * dy + dz * dz, 0.01);
  return (
    ((normals[3 * b] - normals[3 * a]) * dx +
      (normals[3 * b + 1] - normals[3 * a + 1]) * dy +
      (normals[3 * b + 2] - normals[3 * a + 2]) * dz) /
    l2
  );
}

function averaged(graph: SurfaceGraph, values: Float32Array, stride: 1 | 3): Float32Array {
  const out = new Float32Array(values.length);
  for (let a = 0; a < graph.nodeCount; a++) {
    const start = graph.linkStart[a];
    const end = graph.linkStart[a + 1];
    for (let k = 0; k < stride; k++) {
      let sum = values[stride * a + k];
      for (let i = start; i < end; i++) sum += values[stride * graph.links[i] + k];
      out[stride * a + k] = sum / (end - start + 1);
    }
  }
  if (stride === 3) unit(out);
  return out;
}
