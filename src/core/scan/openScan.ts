import { readScan } from './readers/readScan.ts';
import { repairMesh } from './repairMesh.ts';
import type { LengthUnit, ScanFacts, ScanFinding, ScanMesh, ScanShape } from './ScanMesh.ts';
import { type PackedSurfaceIndex, packSurfaceIndex, surfaceIndex } from './surfaceIndex.ts';
import { MM_PER_UNIT, UNIT_NAMES, unitCheck } from './unitCheck.ts';

/** A scan read, repaired, checked and indexed. */
export interface OpenedScan {
  readonly mesh: ScanMesh;
  readonly facts: ScanFacts;
  readonly findings: readonly ScanFinding[];
  readonly shape: ScanShape;
  readonly index: PackedSurfaceIndex;
}

export type OpenStage = 'read' | 'check' | 'index' | 'done';

export interface OpenOptions {
  /** The unit the file is in. Default: mm, and refused where the box cannot be an arch in mm. */
  readonly unit?: LengthUnit;
  readonly onStage?: (stage: { stage: OpenStage; doneRatio: number }) => void;
}

/**
 * Opens a scan file: format, parse, weld, repair, unit check, normals, surface index, checksum.
 *
 * Units:    mm out, whatever the file's unit.
 * Refuses:  the scan-file codes; 'unit-implausible' where the box is no dental arch in the unit.
 */
export async function openScan(
  bytes: Uint8Array,
  fileName: string,
  options: OpenOptions = {},
): Promise<OpenedScan> {
  const { unit = 'mm', onStage } = options;
  // The digest runs beside the parsing; its failure is awaited below, never left unhandled.
  const digest = crypto.subtle.digest('SHA-256', bytes as Uint8Array<ArrayBuffer>);
  digest.catch(() => {});
  onStage?.({ stage: 'read', doneRatio: 0 });
  const raw = readScan(
    bytes,
    fileName,
    onStage && ((ratio) => onStage({ stage: 'read', doneRatio: 0.5 * ratio })),
  );
  convertToMm(raw.positions, unit);
  onStage?.({ stage: 'check', doneRatio: 0.5 });
  const { mesh, shape, findings } = repairMesh(raw);
  unitCheck(mesh.positions, unit);
  onStage?.({ stage: 'index', doneRatio: 0.75 });
  const index = packSurfaceIndex(surfaceIndex(mesh));
  const facts: ScanFacts = {
    file: fileName.split(/[\\/]/).at(-1) ?? fileName,
    sha256: hex(await digest),
    format: raw.format,
    byteCount: bytes.length,
    unit,
    triangles: mesh.indices.length / 3,
    vertices: mesh.positions.length / 3,
  };
  onStage?.({ stage: 'done', doneRatio: 1 });
  return {
    mesh,
    facts,
    findings: unit === 'mm' ? findings : [...findings, converted(unit, facts.vertices)],
    shape,
    index,
  };
}

/** Scales positions to mm in place: they belong to the reader's fresh result and to nobody else. */
function convertToMm(positions: Float32Array, unit: LengthUnit): void {
  const factor = MM_PER_UNIT[unit];
  if (factor === 1) return;
  for (let i = 0; i < positions.length; i++) positions[i] *= factor;
}

const converted = (unit: LengthUnit, count: number): ScanFinding => ({
  code: 'unit-converted',
  count,
  message: `All points were converted from ${UNIT_NAMES[unit]} to millimetres.`,
});

const hex = (digest: ArrayBuffer): string =>
  Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
