import { findArchFrame } from '../src/core/arch/findArchFrame.ts';
import { displayMesh } from '../src/core/scan/displayMesh.ts';
import { openScan } from '../src/core/scan/openScan.ts';
import type { LengthUnit } from '../src/core/scan/ScanMesh.ts';
import type { OpenedArch, OpenProgress, ScanSource } from './contract.ts';
import { outcomeOf } from './outcomeOf.ts';
import { readSource } from './readSource.ts';

/** Parts of the whole that reading the file and opening the scan take, for the progress bar. */
const FILE_SHARE = 0.15;
const SCAN_SHARE = 0.5;

/**
 * Opens an arch for the page: reads the source, opens the scan, proposes the frame, makes the mesh to draw.
 *
 * Refuses:  as `readSource` and `openScan`; a frame that cannot be found is reported inside the result.
 */
export async function openArch(
  source: ScanSource,
  fileName: string,
  unit: LengthUnit,
  onProgress: (progress: OpenProgress) => void = () => {},
): Promise<OpenedArch> {
  onProgress({ stage: 'file', doneRatio: 0 });
  const bytes = await readSource(source, (ratio) =>
    onProgress({ stage: 'file', doneRatio: FILE_SHARE * ratio }),
  );
  const scan = await openScan(bytes, fileName, {
    unit,
    onStage: ({ stage, doneRatio }) => {
      if (stage !== 'done') onProgress({ stage, doneRatio: FILE_SHARE + SCAN_SHARE * doneRatio });
    },
  });
  onProgress({ stage: 'frame', doneRatio: FILE_SHARE + SCAN_SHARE });
  const frame = await outcomeOf(() => findArchFrame(scan.mesh));
  onProgress({ stage: 'display', doneRatio: 0.8 });
  const display = await displayMesh(scan.mesh);
  onProgress({ stage: 'done', doneRatio: 1 });
  return { ...scan, frame, display };
}

/** The buffers of an opened arch that change hands instead of being copied. */
export function archBuffers({ mesh, index, display }: OpenedArch): ArrayBuffer[] {
  const arrays = [mesh.positions, mesh.indices, mesh.normals, mesh.colors, index.faceOrder];
  if (display) arrays.push(display.positions, display.indices, display.normals, display.colors);
  const buffers = arrays.filter((array) => array !== null).map((array) => array.buffer as ArrayBuffer);
  return [...new Set([...buffers, ...index.roots])];
}
