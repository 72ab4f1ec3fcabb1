import type { Jaw } from '../../core/base/tooth.ts';
import type { Vec3 } from '../../core/base/Vec3.ts';
import type { SceneEngine } from '../scene/SceneEngine.ts';
import { actions, type SiteRef, undo } from '../store.ts';
import { pacedWriter } from './pacedWriter.ts';
import type { Place } from './snapOnScan.ts';

/** A mark on the move: drawn at once, written to the case as often as the page can follow, one step of undo. */
export interface LiveMove {
  readonly site: SiteRef;
  readonly to: (pointMm: Vec3, sdMm?: number) => void;
  readonly end: () => boolean; // true when it moved
  readonly cancel: () => void;
}

export function liveMove(jaw: Jaw, site: SiteRef, engine: SceneEngine): LiveMove {
  let moved = false;
  const writer = pacedWriter(({ pointMm, sdMm }: Place) =>
    actions().moveMark(jaw, site.tooth, site.site, pointMm, sdMm),
  );
  actions().beginGesture();

  function finish(): boolean {
    writer.flush();
    actions().endGesture();
    engine.settleDraft();
    return moved;
  }

  return {
    site,
    to: (pointMm, sdMm) => {
      moved = true;
      engine.setDraft({ ...site, pointMm });
      writer.put({ pointMm, sdMm });
    },
    end: finish,
    cancel: () => {
      if (finish()) undo();
    },
  };
}
