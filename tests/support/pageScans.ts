import type { LoadedScanOnPage } from '../../src/app/LoadedScanOnPage.ts';
import type { LengthUnit, ScanMesh } from '../../src/core/scan/ScanMesh.ts';
import { surfaceIndex } from '../../src/core/scan/surfaceIndex.ts';

const ONE_TRIANGLE: ScanMesh = {
  positions: new Float32Array([0, 0, 0, 1, 0, 0, 0, 1, 0]),
  indices: new Uint32Array([0, 1, 2]),
  normals: new Float32Array([0, 0, 1, 0, 0, 1, 0, 0, 1]),
  colors: null,
};

/** A scan as the page holds it once it is open; its facts are made up but for what is given. */
export function makePageScan(
  sha256: string,
  { mesh = ONE_TRIANGLE, unit = 'mm' }: { readonly mesh?: ScanMesh; readonly unit?: LengthUnit } = {},
): LoadedScanOnPage {
  return {
    facts: {
      file: 'made.stl',
      sha256,
      format: 'stl-binary',
      byteCount: 134,
      unit,
      triangles: 1,
      vertices: 3,
    },
    shape: {
      componentCount: 1,
      boundaryEdgeCount: 3,
      boundaryLoopCount: 1,
      nonManifoldEdgeCount: 0,
      boundsMinMm: [0, 0, 0],
      boundsMaxMm: [1, 1, 0],
      areaMm2: 0.5,
      medianEdgeMm: 1,
    },
    findings: [],
    mesh,
    index: surfaceIndex(mesh),
    display: mesh,
  };
}
