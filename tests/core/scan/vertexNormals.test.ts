import { expect, test } from 'vitest';
import { flatFaces, vertexNormals } from '../../../src/core/scan/vertexNormals.ts';
import { makeBox, makeSphere, makeTorus } from '../../support/meshes.ts';

test('on a sphere the normals are radial within 0.005', () => {
  const sphere = makeSphere(10, 6);
  expect(sphere.indices.length / 3).toBeGreaterThan(20_000);
  const { normals } = vertexNormals(sphere.positions, sphere.indices);
  for (let i = 0; i < normals.length; i++)
    expect(Math.abs(normals[i] - sphere.positions[i] / 10)).toBeLessThan(5e-3);
});

test('the area falls short of sphere and torus with the square of the edge: halving it leaves a quarter', () => {
  const shortfall = (exact: number, meshes: { positions: Float32Array; indices: Uint32Array }[]): number => {
    const [coarse, fine] = meshes.map((m) => exact - vertexNormals(m.positions, m.indices).areaMm2);
    return coarse / fine;
  };
  expect(shortfall(4 * Math.PI * 100, [makeSphere(10, 4), makeSphere(10, 5)])).toBeCloseTo(4, 1);
  const torus = 4 * Math.PI ** 2 * 20 * 5;
  expect(shortfall(torus, [makeTorus(20, 5, 64, 32), makeTorus(20, 5, 128, 64)])).toBeCloseTo(4, 1);
});

test('each face counts with its area: a box corner leans to its larger sides', () => {
  const { normals, areaMm2 } = vertexNormals(makeBox(4, 2, 1).positions, makeBox(4, 2, 1).indices);
  expect(areaMm2).toBe(2 * (8 + 4 + 2));
  expect(Math.abs(normals[2])).toBeGreaterThan(Math.abs(normals[0]));
});

test('faces without area are counted and marked, and no normal is NaN', () => {
  const positions = Float32Array.from([0, 0, 0, 1, 0, 0, 2, 0, 0, 0, 3, 0]);
  const indices = Uint32Array.from([0, 1, 2, 0, 1, 3, 1, 1, 3]);
  const { normals, flatFaceCount } = vertexNormals(positions, indices);
  expect(flatFaceCount).toBe(2);
  expect(Array.from(flatFaces(positions, indices))).toEqual([1, 0, 1]);
  expect(normals.every(Number.isFinite)).toBe(true);
});
