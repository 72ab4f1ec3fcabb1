import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { openScan } from '../../../src/core/scan/openScan.ts';
import type { LengthUnit } from '../../../src/core/scan/ScanMesh.ts';
import { surfaceIndex, unpackSurfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { makeArchStrip, makeBox, makeMesh, makeSphere } from '../../support/meshes.ts';
import { binaryStl, plyOf, textBytes } from '../../support/meshFiles.ts';
import { makeRandom } from '../../support/random.ts';
import { refusalOf } from '../../support/refusal.ts';
import { hasSharedScans, sharedScan } from '../../support/sharedScans.ts';

const scaled = (mesh: { positions: Float32Array; indices: Uint32Array }, factor: number) => ({
  positions: mesh.positions.map((c) => c * factor),
  indices: mesh.indices,
});
const moved = (mesh: { positions: Float32Array; indices: Uint32Array }, by: number) => ({
  positions: mesh.positions.map((c) => c + by),
  indices: mesh.indices,
});
const findingCodes = (opened: { findings: readonly { code: string; count: number }[] }) =>
  Object.fromEntries(opened.findings.map((f) => [f.code, f.count]));

const arch = makeArchStrip(3000, makeRandom(3));

describe('facts and shape', () => {
  test('of a box: closed, one part, area and bounds exact, checksum of the bytes', async () => {
    const bytes = binaryStl(makeBox(60, 50, 20));
    const { facts, shape, findings } = await openScan(bytes, 'some/folder/box.stl');
    expect(facts).toEqual({
      file: 'box.stl',
      sha256: createHash('sha256').update(bytes).digest('hex'),
      format: 'stl-binary',
      byteCount: 684,
      unit: 'mm',
      triangles: 12,
      vertices: 8,
    });
    expect(shape).toEqual({
      componentCount: 1,
      boundaryEdgeCount: 0,
      boundaryLoopCount: 0,
      nonManifoldEdgeCount: 0,
      boundsMinMm: [0, 0, 0],
      boundsMaxMm: [60, 50, 20],
      areaMm2: 2 * (60 * 50 + 60 * 20 + 50 * 20),
      medianEdgeMm: expect.closeTo(Math.hypot(50, 20), 5),
    });
    expect(findings).toEqual([]);
  });

  test('of an open strip: one border loop, its edges counted', async () => {
    const { shape, findings } = await openScan(binaryStl(arch), 'a.stl');
    expect(shape.boundaryLoopCount).toBe(1);
    expect(findings.map((f) => f.code)).toEqual(['open-boundary']);
  });

  test('the bytes are left as they were', async () => {
    const bytes = binaryStl(arch);
    const before = bytes.slice();
    await openScan(bytes, 'a.stl', { unit: 'mm' });
    expect(bytes).toEqual(before);
  });
});

describe('repairs are reported', () => {
  test('flat, repeated and reversed faces, unused vertices, parts', async () => {
    const box = makeBox(60, 50, 20);
    const positions = [...box.positions, 500, 500, 500, 30, 0, 0];
    const extra = [
      0,
      0,
      1,
      0,
      9,
      1,
      box.indices[0],
      box.indices[1],
      box.indices[2],
      box.indices[4],
      box.indices[3],
      box.indices[5],
    ];
    const mesh = {
      positions: Float32Array.from(positions),
      indices: Uint32Array.from([...box.indices, ...extra]),
    };
    const opened = await openScan(plyOf(mesh, 'ascii'), 'a.ply');
    expect(findingCodes(opened)).toEqual({
      'degenerate-faces-dropped': 2, // one with two equal corners, one with three corners in a line
      'duplicate-faces-dropped': 2,
      'unused-vertices-dropped': 1,
    });
    expect(opened.facts.triangles).toBe(12);
    expect(opened.facts.vertices).toBe(8);
    expect(Array.from(opened.mesh.indices.length === 36 ? opened.mesh.normals : [])).not.toContain(
      Number.NaN,
    );
  });

  test('a face turned over makes its three edges disagree', async () => {
    const box = makeBox(60, 50, 20);
    const indices = box.indices.slice();
    [indices[1], indices[2]] = [indices[2], indices[1]];
    const opened = await openScan(binaryStl({ ...box, indices }), 'a.stl');
    expect(findingCodes(opened)).toEqual({ 'normals-disagree': 3 });
  });

  test('a fin on an edge is non-manifold; two boxes are two parts', async () => {
    const box = makeBox(60, 50, 20);
    const fin = makeMesh([...box.positions, -5, -5, 0], [...box.indices, 0, 4, 8]);
    expect(findingCodes(await openScan(binaryStl(fin), 'a.stl'))).toMatchObject({
      'non-manifold-edges': 1,
      'open-boundary': 1,
    });
    const other = moved(box, 100);
    const two = makeMesh(
      [...box.positions, ...other.positions.map((c) => c - 30)],
      [...box.indices, ...box.indices.map((v) => v + 8)],
    );
    expect(findingCodes(await openScan(binaryStl(scaled(two, 0.5)), 'a.stl'))).toEqual({
      'several-components': 2,
    });
  });

  test('two faces back to back, with nothing else, count as one', async () => {
    const mesh = makeMesh([0, 0, 0, 70, 0, 0, 0, 60, 0], [0, 1, 2, 2, 1, 0]);
    const opened = await openScan(binaryStl(mesh), 'a.stl');
    expect(findingCodes(opened)).toEqual({ 'duplicate-faces-dropped': 1, 'open-boundary': 1 });
  });

  test('a file whose faces all have no area is refused', async () => {
    const mesh = makeMesh([0, 0, 0, 30, 0, 0, 60, 0, 0], [0, 1, 2]);
    expect((await refusalOf(() => openScan(binaryStl(mesh), 'a.stl'))).code).toBe('no-triangles');
  });
});

describe('units', () => {
  const factors: Record<LengthUnit, number> = { mm: 1, cm: 0.1, m: 0.001, in: 1 / 25.4, um: 1000 };
  const units = Object.keys(factors) as LengthUnit[];

  test.each(units.filter((u) => u !== 'mm'))(
    'an arch in %s is refused as mm, named, and opens when converted',
    async (unit) => {
      const bytes = plyOf(scaled(arch, factors[unit]), 'binary_little_endian');
      const refusal = await refusalOf(() => openScan(bytes, 'a.ply'));
      expect(refusal.code).toBe('unit-implausible');
      expect(refusal.detail.likelyUnit).toBe(unit);
      expect(refusal.message).toMatch(
        { cm: /centimetres/, m: /metres/, in: /inches/, um: /microns/, mm: /./ }[unit],
      );
      const opened = await openScan(bytes, 'a.ply', { unit });
      expect(opened.facts.unit).toBe(unit);
      expect(findingCodes(opened)['unit-converted']).toBe(opened.facts.vertices);
      const plain = await openScan(plyOf(arch, 'binary_little_endian'), 'a.ply');
      for (let k = 0; k < 3; k++) {
        expect(opened.shape.boundsMaxMm[k]).toBeCloseTo(plain.shape.boundsMaxMm[k], 4);
      }
    },
  );

  test('one tooth is told from an arch in centimetres by its shape', async () => {
    const crown = scaled(makeSphere(1, 4), 5); // 10 mm across
    const refusal = await refusalOf(() => openScan(binaryStl(crown), 'a.stl'));
    expect(refusal.detail.likelyUnit).toBe('one-tooth');
    expect(refusal.message).toContain('one tooth');
    const wide = await refusalOf(() => openScan(binaryStl(scaled(arch, 0.1)), 'a.stl'));
    expect(wide.detail.likelyUnit).toBe('cm');
  });

  test('a mesh that is an arch in no unit is refused without a guess', async () => {
    const refusal = await refusalOf(() => openScan(binaryStl(scaled(arch, 10)), 'a.stl'));
    expect(refusal.detail.likelyUnit).toBe('unknown');
  });

  test('naming the wrong unit is refused, and the message says the right one', async () => {
    const refusal = await refusalOf(() => openScan(binaryStl(arch), 'a.stl', { unit: 'in' }));
    expect(refusal.detail.likelyUnit).toBe('mm');
  });

  test('small and large arches, quadrants and any pose pass as mm', async () => {
    const quadrant = { ...arch, indices: arch.indices.slice(0, arch.indices.length / 2) };
    for (const mesh of [...[0.7, 1, 1.3].map((factor) => scaled(arch, factor)), quadrant, moved(arch, 400)]) {
      const { facts } = await openScan(binaryStl(mesh), 'a.stl');
      expect(facts).toMatchObject({ unit: 'mm', triangles: mesh.indices.length / 3 });
    }
  });
});

describe('stages and index', () => {
  test('stages come in order and never go back', async () => {
    const seen: [string, number][] = [];
    await openScan(binaryStl(arch), 'a.stl', { onStage: (s) => seen.push([s.stage, s.doneRatio]) });
    expect([...new Set(seen.map(([stage]) => stage))]).toEqual(['read', 'check', 'index', 'done']);
    const ratios = seen.map(([, ratio]) => ratio);
    expect(ratios).toEqual([...ratios].sort((a, b) => a - b));
  });

  test('the packed index answers as a fresh one', async () => {
    const opened = await openScan(binaryStl(arch), 'a.stl');
    const point = [10, 20, 30] as const;
    expect(unpackSurfaceIndex(opened.mesh, opened.index).closestPoint(point)).toEqual(
      surfaceIndex(opened.mesh).closestPoint(point),
    );
  });

  test('the same file gives the same bits', async () => {
    const first = await openScan(binaryStl(arch), 'a.stl');
    const second = await openScan(binaryStl(arch), 'a.stl');
    expect(second).toEqual(first);
  });

  test('a refusal comes before anything else fails', async () => {
    expect((await refusalOf(() => openScan(textBytes(''), 'a.stl'))).code).toBe('file-empty');
  });
});

describe.skipIf(!hasSharedScans)('real scans', () => {
  test('one whole upper arch: 99,999 triangles, 75 × 60 × 19 mm', async () => {
    const { facts, shape } = await openScan(sharedScan('arch-b-upper'), 'arch-b-upper.stl');
    expect(facts.triangles).toBe(99_999);
    const box = [0, 1, 2].map((k) => Math.round(shape.boundsMaxMm[k] - shape.boundsMinMm[k]));
    expect(box).toEqual([75, 60, 19]);
  });

  test.each([
    ['crowns-a-upper', 85_232],
    ['crowns-a-lower', 83_262],
  ] as const)('%s: fourteen closed crowns, %i triangles', async (name, triangles) => {
    const { facts, shape, findings } = await openScan(sharedScan(name), `${name}.stl`);
    expect(facts.triangles).toBe(triangles);
    expect([shape.componentCount, shape.boundaryEdgeCount, shape.nonManifoldEdgeCount]).toEqual([14, 0, 0]);
    expect(findings.map((f) => f.code)).toEqual(['several-components']);
    // Euler: V − E + F = 2 for each closed crown of genus 0, with E = 3F / 2.
    expect(facts.vertices - facts.triangles / 2).toBe(2 * 14);
  });
});
