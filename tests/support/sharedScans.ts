import { existsSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';

const folder = resolve(import.meta.dirname, '../../../shared/scans');

/** True where the real scans lie beside the project; tests that need them skip themselves where not. */
export const hasSharedScans = existsSync(resolve(folder, 'arch-b-upper.stl'));

export type SharedScan = 'arch-b-upper' | 'crowns-a-upper' | 'crowns-a-lower';

/** Bytes of a real scan. */
export const sharedScan = (name: SharedScan): Uint8Array =>
  new Uint8Array(readFileSync(resolve(folder, `${name}.stl`)));

/** ISO 3950 tooth number of every face of a real scan in file order; 0 = gum and base. */
export const sharedFaceTeeth = (name: SharedScan): readonly number[] =>
  JSON.parse(readFileSync(resolve(folder, `${name}.faces.json`), 'utf8')).face_labels;
