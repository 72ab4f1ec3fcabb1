import type { ArchFrame } from '../../core/arch/ArchFrame.ts';
import { Refusal } from '../../core/base/refusal.ts';
import { type Jaw, toothLabel } from '../../core/base/tooth.ts';
import { distance, type Vec2, type Vec3 } from '../../core/base/Vec3.ts';
import { markKey } from '../../core/marks/Mark.ts';
import { type CrownPurpose, crownPurpose } from '../proposal/crownPurpose.ts';
import { frameByHandle, frameHandles } from '../scene/frameHandles.ts';
import type { PointerDrag, PointerPurpose } from '../scene/pointerInput.ts';
import type { SceneEngine } from '../scene/SceneEngine.ts';
import type { SceneCommands } from '../scene/sceneCommands.ts';
import { holdCamera, setScene, useScene } from '../scene/sceneStore.ts';
import { shownArchOf } from '../state/onShow.ts';
import { actions, type SiteRef, undo, useStore } from '../store.ts';
import { liveMove } from './liveMove.ts';
import { pacedWriter } from './pacedWriter.ts';
import { markAt, marksOf, placeAt, selectSite, siteInWords, widthInWords } from './siteActions.ts';
import { landingOf, type Place, placeOnScan } from './snapOnScan.ts';

/** Pointer work on the surface: placing, dragging and choosing marks, and turning the arch frame. */
export interface MarkingPurpose {
  readonly pointer: PointerPurpose;
  /** Places the selected site's mark under a pixel; false beside the surface. */
  readonly placeUnder: (atPx: Vec2, plain: boolean) => boolean;
  readonly crown: CrownPurpose;
}

const REACH_PX = { mouse: 11, pen: 14, touch: 22 } as const;
/** A click this far from the nearest mark chooses no tooth; a click beyond it from its own mark moves nothing. */
const TOOTH_REACH_MM = 6;
const MOVE_REACH_MM = 4;

export function markingPurpose(jaw: Jaw, engine: SceneEngine, commands: SceneCommands): MarkingPurpose {
  const ui = () => useStore.getState().ui;
  const frame = () => shownArchOf(jaw)?.frame ?? null;
  const crown = crownPurpose(jaw, engine);
  let hovered = '';

  const wantsSnap = (event: { altKey: boolean } | null): boolean =>
    useScene.getState().snapping !== Boolean(event?.altKey);
  const landing = (site: SiteRef, pointMm: Vec3, event: { altKey: boolean } | null): Place =>
    wantsSnap(event) ? placeOnScan(jaw, site, pointMm) : { pointMm };

  /** The mark nearest a pixel within reach: the selected one first, then what can be seen. */
  function siteNear(atPx: Vec2, event: PointerEvent): SiteRef | null {
    if (!ui().marksShown) return null;
    const reach = REACH_PX[event.pointerType as keyof typeof REACH_PX] ?? REACH_PX.mouse;
    const selected = ui().selectedSite ? markKey(ui().selectedSite as SiteRef) : '';
    let best: { site: SiteRef; farPx: number } | null = null;
    for (const mark of marksOf(jaw)) {
      const [x, y] = engine.pixelOf(mark.pointMm);
      const farPx = Math.hypot(x - atPx[0], y - atPx[1]);
      const isSelected = markKey(mark) === selected;
      if (farPx > reach || (!isSelected && !engine.isVisible(mark.pointMm))) continue;
      if (isSelected) return mark;
      if (!best || farPx < best.farPx) best = { site: mark, farPx };
    }
    return best?.site ?? null;
  }

  function dragMark(site: SiteRef): PointerDrag {
    holdCamera(true);
    if (markKey(ui().selectedSite ?? { tooth: 0, site: 'mesial' }) !== markKey(site)) selectSite(site);
    const move = liveMove(jaw, { tooth: site.tooth, site: site.site }, engine);
    return {
      move: (atPx, event) => {
        const hit = engine.pick(atPx);
        if (!hit) return;
        const { pointMm, sdMm } = landing(move.site, hit, event);
        move.to(pointMm, sdMm);
        showLoupe(pointMm, move.site, atPx);
      },
      end: () => {
        holdCamera(false);
        if (move.end()) {
          actions().announce(`${siteInWords(move.site)} moved.${widthInWords(jaw, move.site.tooth)}`);
        }
      },
      cancel: () => {
        holdCamera(false);
        move.cancel();
      },
    };
  }

  function dragHandle(atPx: Vec2): PointerDrag | null {
    const current = frame();
    if (!current) return null;
    const handle = frameHandles(current, engine.view, engine.viewport).find(({ pointMm }) => {
      const [x, y] = engine.pixelOf(pointMm);
      return Math.hypot(x - atPx[0], y - atPx[1]) < 18;
    });
    if (!handle) return null;
    let moved = false;
    const writer = pacedWriter((next: ArchFrame) => actions().setFrame(jaw, next));
    actions().beginGesture();
    const finish = (): void => {
      writer.flush();
      actions().endGesture();
    };
    return {
      move: (at) => {
        moved = true;
        const next = frameByHandle(current, handle.pointMm, at, engine.view, engine.viewport);
        engine.setExtras({ handles: frameHandles(next, engine.view, engine.viewport) });
        writer.put(next);
      },
      end: () => {
        finish();
        if (moved) actions().announce('Arch frame turned.');
      },
      cancel: () => {
        finish();
        if (moved) undo();
      },
    };
  }

  /** Places a mark where a click fell, snapped; says why where both clicks of a tooth are on one side. */
  function place(site: SiteRef, hit: Vec3, event: { altKey: boolean }): void {
    engine.setExtras({ ghost: null });
    if (!wantsSnap(event)) {
      placeAt(jaw, site, { pointMm: hit, partner: null });
      return;
    }
    try {
      placeAt(jaw, site, landingOf(jaw, site, hit));
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      actions().announce(`Not placed. ${error.message.replace(/^\w+: /, '')}`);
    }
  }

  function placeUnder(atPx: Vec2, plain: boolean): boolean {
    const site = ui().selectedSite;
    const hit = engine.pick(atPx);
    if (!site || !hit) return false;
    place(site, hit, { altKey: plain });
    return true;
  }

  function click(atPx: Vec2, event: PointerEvent): void {
    if (useScene.getState().tool === 'crown') {
      crown.click(atPx);
      return;
    }
    const hit = engine.pick(atPx);
    if (useScene.getState().tool === 'three-points') {
      if (hit) commands.pickFramePoint(hit);
      return;
    }
    if (useScene.getState().tool === 'turn-frame') return;
    const selected = ui().selectedSite;
    const own = selected && markAt(jaw, selected);
    if (selected && !own) {
      if (hit) place(selected, hit, event);
      else actions().announce('No surface under the pointer; click on the tooth.');
      return;
    }
    const near = siteNear(atPx, event);
    if (near) {
      selectSite({ tooth: near.tooth, site: near.site });
      return;
    }
    if (hit && selected && own && distance(own.pointMm, hit) < MOVE_REACH_MM) {
      placeAt(jaw, selected, { ...landing(selected, hit, event), partner: null });
      return;
    }
    selectSite(hit ? nearestSite(hit) : null);
  }

  function nearestSite(pointMm: Vec3): SiteRef | null {
    let best: { site: SiteRef; farMm: number } | null = null;
    for (const { tooth, site, pointMm: at } of marksOf(jaw)) {
      const farMm = distance(at, pointMm);
      if (farMm <= TOOTH_REACH_MM && (!best || farMm < best.farMm)) best = { site: { tooth, site }, farMm };
    }
    return best?.site ?? null;
  }

  function hover(atPx: Vec2 | null, event: PointerEvent): void {
    if (useScene.getState().tool === 'crown') {
      crown.hover(atPx);
      return;
    }
    if (engine.extras.brush.length > 0) engine.setExtras({ brush: [] });
    const near = atPx && useScene.getState().tool === 'mark' ? siteNear(atPx, event) : null;
    const key = near ? markKey(near) : '';
    if (key !== hovered) {
      hovered = key;
      actions().setUi({ hoveredSite: near ? { tooth: near.tooth, site: near.site } : null });
    }
    if (engine.extras.cursor) engine.setExtras({ cursor: false });
    const selected = ui().selectedSite;
    const hit = atPx && selected ? engine.pick(atPx) : null;
    if (!selected || !hit || useScene.getState().tool !== 'mark') {
      if (engine.extras.ghost) engine.setExtras({ ghost: null });
      showLoupe(selected ? (markAt(jaw, selected)?.pointMm ?? null) : null, selected, atPx);
      return;
    }
    if (!markAt(jaw, selected)) {
      engine.setExtras({
        ghost: { site: selected.site, pointMm: landing(selected, hit, event).pointMm, fromMm: hit },
      });
    } else if (engine.extras.ghost) engine.setExtras({ ghost: null });
    showLoupe(hit, selected, atPx);
  }

  function showLoupe(pointMm: Vec3 | null, site: SiteRef | null, atPx: Vec2 | null): void {
    const shown = pointMm && site && ui().loupeOn;
    const caption = shown
      ? `${toothLabel(site.tooth, useStore.getState().caseDocument.notation)} ${site.site}`
      : '';
    engine.setLoupe(shown ? { pointMm, caption } : null, atPx ?? undefined);
  }

  return {
    placeUnder,
    crown,
    pointer: {
      dragFrom: (atPx, event) => {
        const { tool } = useScene.getState();
        if (tool === 'crown') return crown.dragFrom(atPx, event);
        if (tool === 'turn-frame') return dragHandle(atPx);
        if (tool !== 'mark') return null;
        const site = siteNear(atPx, event);
        return site ? dragMark(site) : null;
      },
      click,
      hover,
      flat: () => useScene.getState().flat,
      cameraMoved: (kind) => {
        if (kind === 'turned' && useScene.getState().view) setScene({ view: null });
      },
    },
  };
}
