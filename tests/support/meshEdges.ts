/** Facts about a mesh's edges, worked out plainly from its faces. */
export interface MeshEdgeFacts {
  readonly repeatedEdges: number; // directed edges used more than once
  readonly borderLoops: number;
  readonly components: number;
  readonly slivers: number; // faces of quality below 0.1 (1 = equilateral)
}

export function meshEdges(mesh: { positions: Float32Array; indices: Uint32Array }): MeshEdgeFacts {
  const { positions, indices } = mesh;
  const n = positions.length / 3;
  const edges = new Set<number>();
  const parent = Int32Array.from({ length: n }, (_, i) => i);
  const root = (v: number): number => {
    let r = v;
    while (parent[r] !== r) {
      parent[r] = parent[parent[r]];
      r = parent[r];
    }
    return r;
  };
  let repeatedEdges = 0;
  let slivers = 0;
  for (let f = 0; f < indices.length; f += 3) {
    const l2 = [0, 0, 0];
    for (let k = 0; k < 3; k++) {
      const [a, b] = [indices[f + k], indices[f + ((k + 1) % 3)]];
      if (edges.has(a * n + b)) repeatedEdges++;
      edges.add(a * n + b);
      parent[root(a)] = root(b);
      for (let d = 0; d < 3; d++) l2[k] += (positions[a * 3 + d] - positions[b * 3 + d]) ** 2;
    }
    const [a, b, c] = l2.map(Math.sqrt);
    const s = (a + b + c) / 2;
    const area = Math.sqrt(Math.max(s * (s - a) * (s - b) * (s - c), 0));
    if ((4 * Math.sqrt(3) * area) / (l2[0] + l2[1] + l2[2]) < 0.1) slivers++;
  }
  const next = new Map<number, number>();
  for (const e of edges) {
    const a = Math.floor(e / n);
    const b = e - a * n;
    if (!edges.has(b * n + a)) next.set(a, b);
  }
  let borderLoops = 0;
  const seen = new Set<number>();
  for (const start of next.keys()) {
    if (seen.has(start)) continue;
    borderLoops++;
    for (let v: number | undefined = start; v !== undefined && !seen.has(v); v = next.get(v)) seen.add(v);
  }
  let components = 0;
  for (let v = 0; v < n; v++) if (parent[v] === v) components++;
  return { repeatedEdges, borderLoops, components, slivers };
}
