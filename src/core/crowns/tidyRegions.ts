import { UNREACHED } from './growRegions.ts';
import type { SurfaceGraph } from './surfaceGraph.ts';

const SMOOTHING_PASSES = 3;

/**
 * Evens out region borders (majority of the neighbours, a few passes) and gives islands that hang on no seed
 * of their label to the regions around them.
 */
export function tidyRegions(graph: SurfaceGraph, label: Int16Array, seeds: Int16Array): Int16Array {
  let current = label;
  for (let pass = 0; pass < SMOOTHING_PASSES; pass++) current = majority(graph, current);
  const kept = connectedToSeeds(graph, current, seeds);
  for (let pass = 0; pass < 40; pass++) {
    const next = filled(graph, current, kept);
    if (!next) break;
    current = next;
  }
  return current;
}

function majority(graph: SurfaceGraph, label: Int16Array): Int16Array {
  const out = Int16Array.from(label);
  for (let a = 0; a < graph.nodeCount; a++) {
    const start = graph.linkStart[a];
    const end = graph.linkStart[a + 1];
    let other = label[a];
    for (let i = start; i < end; i++) if (label[graph.links[i]] !== label[a]) other = label[graph.links[i]];
    if (other === label[a]) continue;
    const votes = new Map<number, number>([[label[a], 1]]);
    for (let i = start; i < end; i++) {
      const l = label[graph.links[i]];
      votes.set(l, (votes.get(l) ?? 0) + 1);
    }
    let best = label[a];
    for (const [l, n] of votes) if (n > (votes.get(best) ?? 0)) best = l;
    out[a] = best;
  }
  return out;
}

function connectedToSeeds(graph: SurfaceGraph, label: Int16Array, seeds: Int16Array): Uint8Array {
  const kept = new Uint8Array(graph.nodeCount);
  const stack: number[] = [];
  for (let n = 0; n < graph.nodeCount; n++) {
    if (seeds[n] !== UNREACHED && seeds[n] === label[n]) {
      kept[n] = 1;
      stack.push(n);
    }
  }
  for (let a = stack.pop(); a !== undefined; a = stack.pop()) {
    for (let i = graph.linkStart[a]; i < graph.linkStart[a + 1]; i++) {
      const b = graph.links[i];
      if (kept[b] || label[b] !== label[a]) continue;
      kept[b] = 1;
      stack.push(b);
    }
  }
  return kept;
}

/** One ring of fill from kept nodes into islands; null when nothing changes. Marks what it fills as kept. */
function filled(graph: SurfaceGraph, label: Int16Array, kept: Uint8Array): Int16Array | null {
  const ring: [number, number][] = [];
  for (let a = 0; a < graph.nodeCount; a++) {
    if (kept[a]) continue;
    for (let i = graph.linkStart[a]; i < graph.linkStart[a + 1]; i++) {
      const b = graph.links[i];
      if (!kept[b]) continue;
      ring.push([a, label[b]]);
      break;
    }
  }
  if (ring.length === 0) return null;
  const out = Int16Array.from(label);
  for (const [a, l] of ring) {
    out[a] = l;
    kept[a] = 1;
  }
  return out;
}
