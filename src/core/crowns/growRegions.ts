import { hypot3 } from '../base/hypot.ts';
import type { SurfaceGraph } from './surfaceGraph.ts';

/** Label of a node that no seed reached. */
export const UNREACHED = -1;

/**
 * Grows labelled seeds over the surface until they meet: each node takes the label it can be reached from at
 * the least cost, where a link costs its length times a price that rises steeply in folds. Fronts therefore
 * meet in the folds (minima rule), and where a fold fades out they meet half way.
 *
 * Shape:  seeds — label per node or UNREACHED; priceOf — price per node, ≥ 1.
 * Units:  mm (cost = mm × price).
 */
export function growRegions(
  graph: SurfaceGraph,
  seeds: Int16Array,
  price: Float32Array,
): { label: Int16Array; cost: Float32Array } {
  const label = Int16Array.from(seeds);
  const cost = new Float32Array(graph.nodeCount).fill(Infinity);
  const queue = new BucketQueue(0.1);
  for (let n = 0; n < graph.nodeCount; n++) {
    if (seeds[n] === UNREACHED) continue;
    cost[n] = 0;
    queue.push(n, 0);
  }
  const p = graph.positionsMm;
  for (let a = queue.pop(); a >= 0; a = queue.pop()) {
    const reached = cost[a];
    if (queue.lastKey > reached + 0.1001) continue;
    for (let i = graph.linkStart[a]; i < graph.linkStart[a + 1]; i++) {
      const b = graph.links[i];
      const l = hypot3(p[3 * a] - p[3 * b], p[3 * a + 1] - p[3 * b + 1], p[3 * a + 2] - p[3 * b + 2]);
      const next = reached + l * 0.5 * (price[a] + price[b]);
      if (next < cost[b]) {
        cost[b] = next;
        label[b] = label[a];
        queue.push(b, next);
      }
    }
  }
  return { label, cost };
}

/** A monotone priority queue of nodes in buckets of equal width; order inside a bucket is last in, first out. */
class BucketQueue {
  private readonly buckets: number[][] = [];
  private readonly width: number;
  private at = 0;
  lastKey = 0;
  constructor(width: number) {
    this.width = width;
  }
  push(node: number, key: number): void {
    const bucket = Math.max(this.at, Math.floor(key / this.width));
    while (this.buckets.length <= bucket) this.buckets.push([]);
    this.buckets[bucket].push(node);
  }
  pop(): number {
    while (this.at < this.buckets.length) {
      const node = this.buckets[this.at].pop();
      if (node !== undefined) {
        this.lastKey = this.at * this.width;
        return node;
      }
      this.at++;
    }
    return -1;
  }
}
