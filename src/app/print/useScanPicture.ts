import type { ArchFrame } from '../../core/arch/ArchFrame.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ScanMesh } from '../../core/scan/ScanMesh.ts';
import { useStore } from '../store.ts';
import { type OcclusalPicture, occlusalPicture } from './occlusalPicture.ts';

/** 300 dpi where an arch is printed a little larger than it is. */
const PX_PER_MM = 14;

const made = new WeakMap<ScanMesh, { readonly frame: ArchFrame; readonly picture: OcclusalPicture }>();

/** The scan of a record from above, made when it is first printed; null while the scan is not on the page. */
export function useScanPicture({ scan, frame, jaw }: ArchRecord): OcclusalPicture | null {
  const mesh = useStore((state) => state.scans[scan.sha256]?.display ?? null);
  if (!mesh) return null;
  const known = made.get(mesh);
  if (known?.frame === frame) return known.picture;
  const picture = occlusalPicture(mesh, frame, jaw, PX_PER_MM);
  made.set(mesh, { frame, picture });
  return picture;
}
