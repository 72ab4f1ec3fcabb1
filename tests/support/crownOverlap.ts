import type { CrownMap } from '../../src/core/crowns/findCrowns.ts';

/** Intersection over union of each crown with the faces labelled as its tooth, faces counted by area. */
export function crownOverlap(
  found: CrownMap,
  faceTooth: ArrayLike<number>,
  faceAreaMm2: ArrayLike<number>,
): ReadonlyMap<number, number> {
  const out = new Map<number, number>();
  const labelled = [...new Set(Array.from(faceTooth))].filter((t) => t > 0);
  for (const tooth of labelled) {
    const crown = found.crowns.findIndex((c) => c.tooth === tooth) + 1;
    let [both, either] = [0, 0];
    for (let f = 0; f < found.faceCrown.length; f++) {
      const isFound = crown > 0 && found.faceCrown[f] === crown;
      const isLabelled = faceTooth[f] === tooth;
      if (isFound && isLabelled) both += faceAreaMm2[f];
      if (isFound || isLabelled) either += faceAreaMm2[f];
    }
    out.set(tooth, either > 0 ? both / either : 0);
  }
  return out;
}

export function faceAreas(positions: Float32Array, indices: Uint32Array): Float32Array {
  const p = positions;
  return Float32Array.from({ length: indices.length / 3 }, (_, f) => {
    const [a, b, c] = [3 * indices[3 * f], 3 * indices[3 * f + 1], 3 * indices[3 * f + 2]];
    const u = [p[b] - p[a], p[b + 1] - p[a + 1], p[b + 2] - p[a + 2]];
    const v = [p[c] - p[a], p[c + 1] - p[a + 1], p[c + 2] - p[a + 2]];
    return 0.5 * Math.hypot(u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]);
  });
}

export const mean = (values: Iterable<number>): number => {
  const all = [...values];
  return all.reduce((a, b) => a + b, 0) / all.length;
};
