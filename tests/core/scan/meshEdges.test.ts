import { describe, expect, test } from 'vitest';
import { duplicateFaces, meshEdges } from '../../../src/core/scan/meshEdges.ts';
import { makeArchStrip, makeBox, makeSphere, makeTorus } from '../../support/meshes.ts';
import { makeRandom } from '../../support/random.ts';

const edgesOf = ({ positions, indices }: { positions: Float32Array; indices: Uint32Array }) =>
  meshEdges(positions.length / 3, indices);

/** The same counts by maps of edges and a flood over neighbours. */
function byMaps(vertexCount: number, indices: Uint32Array) {
  const edges = new Map<string, number[]>();
  const neighbours = Array.from({ length: vertexCount }, () => new Set<number>());
  for (let i = 0; i < indices.length; i++) {
    const from = indices[i];
    const to = indices[i % 3 === 2 ? i - 2 : i + 1];
    const key = `${Math.min(from, to)} ${Math.max(from, to)}`;
    edges.set(key, [...(edges.get(key) ?? []), Math.sign(to - from)]);
    neighbours[from].add(to);
    neighbours[to].add(from);
  }
  const parts = (links: readonly ReadonlySet<number>[], starts: Iterable<number>): number => {
    const seen = new Set<number>();
    let count = 0;
    for (const start of starts) {
      if (seen.has(start)) continue;
      count++;
      const stack = [start];
      for (let v = stack.pop(); v !== undefined; v = stack.pop()) {
        if (seen.has(v)) continue;
        seen.add(v);
        stack.push(...links[v]);
      }
    }
    return count;
  };
  const border = [...edges]
    .filter(([, faces]) => faces.length === 1)
    .map(([key]) => key.split(' ').map(Number));
  const borderLinks = Array.from({ length: vertexCount }, () => new Set<number>());
  for (const [a, b] of border) {
    borderLinks[a].add(b);
    borderLinks[b].add(a);
  }
  const all = [...edges.values()];
  return {
    componentCount: parts(neighbours, neighbours.keys()),
    boundaryEdgeCount: border.length,
    boundaryLoopCount: parts(borderLinks, border.flat()),
    nonManifoldEdgeCount: all.filter((faces) => faces.length > 2).length,
    disagreeingEdgeCount: all.filter((faces) => faces.length === 2 && faces[0] === faces[1]).length,
  };
}

describe('meshEdges', () => {
  test('of closed shapes: one part, no border', () => {
    const closed = {
      componentCount: 1,
      boundaryEdgeCount: 0,
      boundaryLoopCount: 0,
      nonManifoldEdgeCount: 0,
      disagreeingEdgeCount: 0,
    };
    for (const mesh of [makeBox(), makeSphere(1, 3), makeTorus(3, 1)]) expect(edgesOf(mesh)).toEqual(closed);
  });

  test('of a strip of a × b squares: 2 (a + b) border edges in one loop', () => {
    const strip = makeArchStrip(400);
    const { boundaryEdgeCount, boundaryLoopCount } = edgesOf(strip);
    const faces = strip.indices.length / 3;
    const vertices = strip.positions.length / 3;
    // Euler for a disc: V − E + F = 1 with 2 E = 3 F + border.
    expect(boundaryEdgeCount).toBe(2 * (vertices + faces - 1) - 3 * faces);
    expect(boundaryLoopCount).toBe(1);
  });

  test.each([21, 22, 23, 24])('is what maps of edges count, on random heaps of faces, seed %i', (seed) => {
    const random = makeRandom(seed);
    const vertexCount = 12 + Math.floor(random() * 60);
    const indices: number[] = [];
    for (let vertex = 0; vertex < vertexCount; vertex++) {
      const others = [1, 2].map((k) => (vertex + k + Math.floor(random() * 5)) % vertexCount);
      if (new Set([vertex, ...others]).size === 3) indices.push(vertex, ...others);
      else indices.push(vertex, (vertex + 1) % vertexCount, (vertex + 2) % vertexCount);
    }
    const faces = Uint32Array.from(indices);
    expect(meshEdges(vertexCount, faces)).toEqual(byMaps(vertexCount, faces));
  });

  test('a fan of 5,000 faces round one vertex is no trouble', () => {
    const indices = Uint32Array.from(
      { length: 15_000 },
      (_, i) => [0, 1 + Math.floor(i / 3), 1 + ((Math.floor(i / 3) + 1) % 5000)][i % 3],
    );
    expect(meshEdges(5001, indices)).toMatchObject({
      componentCount: 1,
      boundaryEdgeCount: 5000,
      boundaryLoopCount: 1,
    });
  });
});

test('duplicateFaces marks repeats in any order of corners, and only those', () => {
  const { drop, count } = duplicateFaces(Uint32Array.from([0, 1, 2, 1, 2, 3, 2, 0, 1, 3, 2, 1, 0, 1, 3]));
  expect([count, Array.from(drop)]).toEqual([2, [0, 0, 1, 1, 0]]);
});
