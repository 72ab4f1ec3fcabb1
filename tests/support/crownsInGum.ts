import ManifoldModule from 'manifold-3d';
import type { Vec3 } from '../../src/core/base/Vec3.ts';

/** One closed crown with its tooth number, points in an arch frame (z out of the gum), mm. */
export interface ClosedCrown {
  readonly tooth: number;
  readonly positions: Float32Array;
  readonly indices: Uint32Array;
}

export interface LabelledSurface {
  readonly positions: Float32Array;
  readonly indices: Uint32Array;
  readonly faceTooth: Uint8Array; // 0 = gum
}

const BOTTOM_DROP_MM = 7;

/**
 * Sets closed crowns into a gum ridge made for the test: a rounded ridge along the line through the crowns,
 * its margin dipping at each crown and rising as a papilla between neighbours, joined by exact booleans and
 * left open below as a scan is. The label of every face is known from the body it came from.
 */
export async function crownsInGum(crowns: readonly ClosedCrown[]): Promise<LabelledSurface> {
  const wasm = await ManifoldModule();
  wasm.setup();
  const { Manifold, Mesh } = wasm;
  const bodies = crowns.map((crown) =>
    new Manifold(
      new Mesh({ numProp: 3, vertProperties: crown.positions, triVerts: crown.indices }),
    ).asOriginal(),
  );
  const ridge = ridgeOf(crowns);
  const gum = Manifold.levelSet(ridge.inside, ridge.box, 0.5).asOriginal();
  const toothOf = new Map(bodies.map((body, i) => [body.originalID(), crowns[i].tooth]));
  const joined = Manifold.union([gum, ...bodies]).getMesh();
  const runs = joined.runIndex;
  const faceTooth = new Uint8Array(joined.triVerts.length / 3);
  for (let r = 0; r + 1 < runs.length; r++) {
    faceTooth.fill(toothOf.get(joined.runOriginalID[r]) ?? 0, runs[r] / 3, runs[r + 1] / 3);
  }
  return openBelow(joined.vertProperties, joined.numProp, joined.triVerts, faceTooth, ridge.bottomMm + 1);
}

interface Ridge {
  readonly inside: (point: [number, number, number]) => number;
  readonly box: { min: [number, number, number]; max: [number, number, number] };
  readonly bottomMm: number;
}

function ridgeOf(crowns: readonly ClosedCrown[]): Ridge {
  const feet = crowns.map(footOf);
  const bottomMm = Math.min(...feet.map((f) => f.low)) - BOTTOM_DROP_MM;
  const stations: { x: number; y: number; marginMm: number; halfWidthMm: number }[] = [];
  feet.forEach((foot, i) => {
    stations.push({ x: foot.x, y: foot.y, marginMm: foot.low + 1.2, halfWidthMm: foot.reach });
    const next = feet[i + 1];
    if (!next) return;
    stations.push({
      x: (foot.x + next.x) / 2,
      y: (foot.y + next.y) / 2,
      marginMm: Math.min(foot.low, next.low) + 3,
      halfWidthMm: (foot.reach + next.reach) / 2,
    });
  });
  const inside = ([x, y, z]: [number, number, number]): number => {
    let best = Infinity;
    let margin = 0;
    let half = 0;
    for (let i = 0; i + 1 < stations.length; i++) {
      const a = stations[i];
      const b = stations[i + 1];
      const dx = b.x - a.x;
      const dy = b.y - a.y;
      const t = Math.max(0, Math.min(1, ((x - a.x) * dx + (y - a.y) * dy) / (dx * dx + dy * dy)));
      const d = Math.hypot(x - a.x - t * dx, y - a.y - t * dy);
      if (d >= best) continue;
      best = d;
      const ease = t * t * (3 - 2 * t);
      margin = a.marginMm + (b.marginMm - a.marginMm) * ease;
      half = a.halfWidthMm + (b.halfWidthMm - a.halfWidthMm) * ease;
    }
    const fall = Math.max(0, best - half) ** 2 * 0.35;
    return Math.min(margin - z - fall, z - bottomMm);
  };
  const xs = feet.map((f) => f.x);
  const ys = feet.map((f) => f.y);
  return {
    inside,
    box: {
      min: [Math.min(...xs) - 16, Math.min(...ys) - 16, bottomMm - 1],
      max: [Math.max(...xs) + 16, Math.max(...ys) + 16, Math.max(...feet.map((f) => f.low)) + 5],
    },
    bottomMm,
  };
}

/** Where a crown stands: middle, lowest point and reach in the occlusal plane. */
function footOf(crown: ClosedCrown): { x: number; y: number; low: number; reach: number } {
  const p = crown.positions;
  let [x, y, low, reach] = [0, 0, Infinity, 0];
  for (let i = 0; i < p.length; i += 3) {
    x += p[i];
    y += p[i + 1];
    low = Math.min(low, p[i + 2]);
  }
  x /= p.length / 3;
  y /= p.length / 3;
  for (let i = 0; i < p.length; i += 3) reach = Math.max(reach, Math.hypot(p[i] - x, p[i + 1] - y));
  return { x, y, low, reach: 0.8 * reach };
}

function openBelow(
  vertices: Float32Array,
  stride: number,
  triangles: Uint32Array,
  tooth: Uint8Array,
  belowMm: number,
): LabelledSurface {
  const kept: number[] = [];
  const labels: number[] = [];
  for (let f = 0; f < tooth.length; f++) {
    const lowest = Math.min(...[0, 1, 2].map((k) => vertices[stride * triangles[3 * f + k] + 2]));
    if (lowest < belowMm) continue;
    kept.push(triangles[3 * f], triangles[3 * f + 1], triangles[3 * f + 2]);
    labels.push(tooth[f]);
  }
  const renumbered = new Map<number, number>();
  const points: number[] = [];
  const indices = Uint32Array.from(kept, (v) => {
    const known = renumbered.get(v);
    if (known !== undefined) return known;
    const n = renumbered.size;
    renumbered.set(v, n);
    points.push(vertices[stride * v], vertices[stride * v + 1], vertices[stride * v + 2]);
    return n;
  });
  return { positions: Float32Array.from(points), indices, faceTooth: Uint8Array.from(labels) };
}

/** Splits a welded labelled mesh into its crowns, points mapped by `place`. */
export function closedCrowns(
  positions: Float32Array,
  indices: Uint32Array,
  faceTooth: ArrayLike<number>,
  place: (point: Vec3) => Vec3,
): readonly ClosedCrown[] {
  const teeth = [...new Set(Array.from(faceTooth))].filter((t) => t > 0);
  return teeth.map((tooth) => {
    const renumbered = new Map<number, number>();
    const points: number[] = [];
    const faces: number[] = [];
    for (let f = 0; f < faceTooth.length; f++) {
      if (faceTooth[f] !== tooth) continue;
      for (let k = 0; k < 3; k++) {
        const v = indices[3 * f + k];
        let n = renumbered.get(v);
        if (n === undefined) {
          n = renumbered.size;
          renumbered.set(v, n);
          points.push(...place([positions[3 * v], positions[3 * v + 1], positions[3 * v + 2]]));
        }
        faces.push(n);
      }
    }
    return { tooth, positions: Float32Array.from(points), indices: Uint32Array.from(faces) };
  });
}
