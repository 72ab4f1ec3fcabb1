import { Refusal } from '../src/core/base/refusal.ts';
import { type SurfaceIndex, unpackSurfaceIndex } from '../src/core/scan/surfaceIndex.ts';
import type { OpenedArch } from './contract.ts';

/** An upper and a lower arch and a later scan of one of them: more are not worked on at a time. */
const KEPT_MOST = 3;

/** Scans this worker has opened, copied before their arrays go to the page, so that the page need not send them back. */
export class KeptScans {
  private readonly indices = new Map<string, SurfaceIndex>();

  /** Copies an opened scan; the one unused longest makes room. Colours are not copied: nothing here reads them. */
  keep({ facts, mesh, index }: OpenedArch): void {
    this.indices.delete(facts.sha256);
    for (const oldest of [...this.indices.keys()].slice(0, -(KEPT_MOST - 1))) this.indices.delete(oldest);
    const copy = {
      positions: mesh.positions.slice(),
      indices: mesh.indices.slice(),
      normals: mesh.normals.slice(),
      colors: null,
    };
    const packed = { roots: index.roots.map((root) => root.slice(0)), faceOrder: index.faceOrder.slice() };
    this.indices.set(facts.sha256, unpackSurfaceIndex(copy, packed));
  }

  /** Refuses: 'scan-not-open'. */
  indexOf(sha256: string): SurfaceIndex {
    const index = this.indices.get(sha256);
    if (!index)
      throw new Refusal(
        'scan-not-open',
        `indexOf: the scan is not open here; got ${sha256.slice(0, 12)}…, need one of the ${KEPT_MOST} opened last. Open the scan again.`,
        { sha256 },
      );
    this.indices.delete(sha256);
    this.indices.set(sha256, index);
    return index;
  }
}
