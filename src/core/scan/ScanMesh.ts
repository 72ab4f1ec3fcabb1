/** A welded triangle mesh in the scan's own frame, millimetres. */
export interface ScanMesh {
  readonly positions: Float32Array; // 3 per vertex, mm
  readonly indices: Uint32Array; // 3 per face, counter-clockwise seen from outside
  readonly normals: Float32Array; // 3 per vertex, unit length, area-weighted
  readonly colors: Uint8Array | null; // 3 per vertex, sRGB 0–255; null where the file has none
}

export type LengthUnit = 'mm' | 'cm' | 'm' | 'in' | 'um';

export type ScanFormat = 'stl-binary' | 'stl-ascii' | 'ply-binary-le' | 'ply-binary-be' | 'ply-ascii' | 'obj';

/** What identifies a scan file and what was in it. */
export interface ScanFacts {
  readonly file: string; // name without folders
  readonly sha256: string; // lower-case hex of the file's bytes
  readonly format: ScanFormat;
  readonly byteCount: number;
  readonly unit: LengthUnit; // the unit the file was read in; positions are converted to mm
  readonly triangles: number; // after repairs
  readonly vertices: number; // after welding
}

/** One kind of repair or remark about a mesh, with how often it happened. Nothing is repaired silently. */
export interface ScanFinding {
  readonly code:
    | 'degenerate-faces-dropped'
    | 'duplicate-faces-dropped'
    | 'polygons-triangulated'
    | 'unused-vertices-dropped'
    | 'non-manifold-edges'
    | 'open-boundary'
    | 'several-components'
    | 'normals-disagree'
    | 'unit-converted';
  readonly count: number;
  readonly message: string;
}

/** Shape facts of a mesh. */
export interface ScanShape {
  readonly componentCount: number;
  readonly boundaryEdgeCount: number;
  readonly boundaryLoopCount: number;
  readonly nonManifoldEdgeCount: number;
  readonly boundsMinMm: readonly [number, number, number];
  readonly boundsMaxMm: readonly [number, number, number];
  readonly areaMm2: number;
  readonly medianEdgeMm: number;
}
