import type { Tooth } from '../../core/base/tooth.ts';
import type { Vec3 } from '../../core/base/Vec3.ts';
import type { SceneEngine } from './SceneEngine.ts';

/** Where a scan point shows on the page; `visible` when it lies in the picture and nothing is before it. */
export interface ProjectedPoint {
  readonly x: number;
  readonly y: number;
  readonly visible: boolean;
}

/** The page's read-only window for browser tests: it tells where things are and can change nothing. */
export interface TestingSeam {
  /** Page pixel of a scan point, mm; null while no scan is shown. */
  readonly project: (pointMm: Vec3) => ProjectedPoint | null;
  /** Surface point at a page pixel, mm; null beside the surface. */
  readonly surfaceAt: (x: number, y: number) => Vec3 | null;
  /** Where a scanned point of a tooth's crown is drawn, mm: elsewhere while the teeth are shown on their course. */
  readonly drawnAt: (tooth: Tooth, pointMm: Vec3) => Vec3;
}

declare global {
  interface Window {
    archledger?: TestingSeam;
  }
}

/** Puts the seam on the window while the scene is there; returns the undoing. */
export function exposeSeam(engine: SceneEngine, element: HTMLElement): () => void {
  const seam: TestingSeam = {
    project: (pointMm) => {
      if (!engine.content) return null;
      const box = element.getBoundingClientRect();
      const [px, py] = engine.pixelOf(pointMm);
      const inside = px >= 0 && py >= 0 && px < engine.viewport.widthPx && py < engine.viewport.heightPx;
      return { x: box.left + px, y: box.top + py, visible: inside && engine.isVisible(pointMm) };
    },
    surfaceAt: (x, y) => {
      const box = element.getBoundingClientRect();
      return engine.pick([x - box.left, y - box.top]);
    },
    drawnAt: (tooth, pointMm) => engine.drawnAt(tooth, pointMm),
  };
  window.archledger = seam;
  return () => {
    if (window.archledger === seam) delete window.archledger;
  };
}
