import { tinykeys } from 'tinykeys';
import { type Jaw, positionOf, toothLabel } from '../../core/base/tooth.ts';
import { add, scale, type Vec2, type Vec3 } from '../../core/base/Vec3.ts';
import { endCrownTool, startCrownTool } from '../proposal/crownPurpose.ts';
import { rightOf, type ViewName } from '../scene/cameraView.ts';
import type { SceneEngine } from '../scene/SceneEngine.ts';
import type { SceneCommands } from '../scene/sceneCommands.ts';
import { setScene, useScene } from '../scene/sceneStore.ts';
import { isLaterOnShow } from '../state/onShow.ts';
import { actions, useStore } from '../store.ts';
import { type LiveMove, liveMove } from './liveMove.ts';
import type { MarkingPurpose } from './markingPurpose.ts';
import {
  confirmSite,
  deleteSite,
  markAt,
  selectSite,
  siteInWords,
  startMarking,
  stepSite,
  widthInWords,
} from './siteActions.ts';
import { nudgedOnScan } from './snapOnScan.ts';

const NUDGE_MM = 0.05;
const BIG_NUDGE_MM = 0.5;
const TURN_RAD = Math.PI / 18;
const FRAME_STEP_RAD = Math.PI / 180;
const PAN_PX = 60;
const CROSS_PX = 12;
const ZOOM = 1.25;

const VIEW_KEYS: readonly ViewName[] = ['occlusal', 'front', 'right', 'left', 'back'];

/** Keys of the stage while it has the focus; MarkingKeys lists them. Returns the undoing. */
export function bindMarkingKeys(
  stage: HTMLElement,
  jaw: Jaw,
  engine: SceneEngine,
  commands: SceneCommands,
  purpose: MarkingPurpose,
): () => void {
  const selected = () => useStore.getState().ui.selectedSite;
  const isCrownTool = (): boolean => useScene.getState().tool === 'crown';
  const inCrownTool = (act: () => void) => (event: KeyboardEvent) => {
    if (isCrownTool()) does(act)(event);
  };
  let nudge: { readonly move: LiveMove; pointMm: Vec3 } | null = null;
  const does =
    (act: (event: KeyboardEvent) => void) =>
    (event: KeyboardEvent): void => {
      event.preventDefault();
      event.stopPropagation();
      act(event);
    };

  /** Arrow keys: turn the frame in its tool, else nudge the selected mark, else turn the picture. */
  const arrow = (direction: Vec2) =>
    does((event) => {
      if (useScene.getState().tool === 'turn-frame') {
        const step = FRAME_STEP_RAD * (event.shiftKey ? 5 : 1);
        if (direction[0]) commands.turnFrameBy(event.altKey ? 'forward' : 'occlusal', -direction[0] * step);
        else commands.turnFrameBy('sideways', direction[1] * step);
        return;
      }
      if (isCrownTool()) {
        const stepPx = event.shiftKey ? PAN_PX : CROSS_PX;
        commands.pan(-direction[0] * stepPx, direction[1] * stepPx);
        return;
      }
      const site = selected();
      const mark = site && markAt(jaw, site);
      if (site && mark) {
        const stepMm = event.shiftKey ? BIG_NUDGE_MM : NUDGE_MM;
        nudge ??= {
          move: liveMove(jaw, { tooth: site.tooth, site: site.site }, engine),
          pointMm: mark.pointMm,
        };
        const onPage = add(scale(rightOf(engine.view), direction[0]), scale(engine.view.up, direction[1]));
        const from = { ...mark, pointMm: nudge.pointMm };
        nudge.pointMm = nudgedOnScan(jaw, from, onPage, engine.view.toward, stepMm);
        nudge.move.to(nudge.pointMm);
        const caption = `${toothLabel(site.tooth, useStore.getState().caseDocument.notation)} ${site.site}`;
        if (useStore.getState().ui.loupeOn) engine.setLoupe({ pointMm: nudge.pointMm, caption });
        return;
      }
      commands.orbit(-direction[0] * TURN_RAD, direction[1] * TURN_RAD);
    });

  /** A held arrow key is one step of undo, said once when it is let go. */
  function endNudge(): void {
    if (!nudge) return;
    const { site } = nudge.move;
    nudge.move.end();
    nudge = null;
    actions().announce(`${siteInWords(site)} nudged.${widthInWords(jaw, site.tooth)}`);
  }
  const keyUp = (event: KeyboardEvent): void => {
    if (event.key.startsWith('Arrow')) endNudge();
  };

  const enter = (plain: boolean) =>
    does(() => {
      if (isCrownTool()) {
        purpose.crown.atCross('click');
        return;
      }
      const site = selected();
      if (!site) {
        startMarking(jaw);
        return;
      }
      if (confirmSite(jaw, site)) return;
      if (markAt(jaw, site)) {
        stepSite(jaw, 1);
        return;
      }
      const middle: Vec2 = [engine.viewport.widthPx / 2, engine.viewport.heightPx / 2];
      if (!engine.extras.cursor) {
        engine.setExtras({ cursor: true, ghost: null });
        actions().announce(
          'Cross shown in the middle of the view; press Enter again to place the mark there.',
        );
        return;
      }
      if (!purpose.placeUnder(middle, plain)) actions().announce('No surface under the cross.');
      else if (!selected()) engine.setExtras({ cursor: false });
    });

  /** Tab walks the sites while one is selected and gives the focus back at either end. */
  const tab = (by: 1 | -1) => (event: KeyboardEvent) => {
    if (!selected()) return;
    if (stepSite(jaw, by)) {
      event.preventDefault();
      event.stopPropagation();
    }
  };

  const remove = does(() => {
    const site = selected();
    if (site) deleteSite(jaw, site);
  });
  const otherSite = does(() => {
    const site = selected();
    if (!site) return;
    const tip = positionOf(site.tooth) <= 2 ? ('incisal' as const) : ('cusp' as const);
    const next = site.site === 'mesial' ? 'distal' : site.site === 'distal' ? tip : 'mesial';
    selectSite({ tooth: site.tooth, site: next });
    actions().announce(siteInWords({ tooth: site.tooth, site: next }));
  });

  const views = Object.fromEntries(
    VIEW_KEYS.map((name, i) => [String(i + 1), does(() => commands.showView(name))]),
  );
  const unbind = tinykeys(stage, {
    ...views,
    '0': does(() => commands.fit()),
    ArrowLeft: arrow([-1, 0]),
    ArrowRight: arrow([1, 0]),
    ArrowUp: arrow([0, 1]),
    ArrowDown: arrow([0, -1]),
    'Shift+ArrowLeft': arrow([-1, 0]),
    'Shift+ArrowRight': arrow([1, 0]),
    'Shift+ArrowUp': arrow([0, 1]),
    'Shift+ArrowDown': arrow([0, -1]),
    'Alt+ArrowLeft': arrow([-1, 0]),
    'Alt+ArrowRight': arrow([1, 0]),
    Enter: enter(false),
    'Alt+Enter': enter(true),
    Tab: tab(1),
    'Shift+Tab': tab(-1),
    n: does(() => void stepSite(jaw, 1)),
    p: does(() => void stepSite(jaw, -1)),
    m: does(() => startMarking(jaw)),
    t: otherSite,
    Delete: remove,
    Backspace: remove,
    w: does(() => commands.orbit(0, -TURN_RAD)),
    s: does(() => commands.orbit(0, TURN_RAD)),
    a: does(() => commands.orbit(-TURN_RAD, 0)),
    d: does(() => commands.orbit(TURN_RAD, 0)),
    q: does(() => commands.roll(-TURN_RAD)),
    e: does(() => commands.roll(TURN_RAD)),
    'Shift+W': does(() => commands.pan(0, PAN_PX)),
    'Shift+S': does(() => commands.pan(0, -PAN_PX)),
    'Shift+A': does(() => commands.pan(PAN_PX, 0)),
    'Shift+D': does(() => commands.pan(-PAN_PX, 0)),
    '+': does(() => commands.zoom(ZOOM)),
    'Shift++': does(() => commands.zoom(ZOOM)),
    '=': does(() => commands.zoom(ZOOM)),
    '-': does(() => commands.zoom(1 / ZOOM)),
    r: does(() => {
      if (isCrownTool()) endCrownTool(engine);
      else if (!isLaterOnShow(jaw)) startCrownTool();
    }),
    b: inCrownTool(() => purpose.crown.atCross('add')),
    'Alt+b': inCrownTool(() => purpose.crown.atCross('take')),
    '[': inCrownTool(() => purpose.crown.changeBrush(-1)),
    ']': inCrownTool(() => purpose.crown.changeBrush(1)),
    c: does(() => {
      const site = selected();
      if (site) commands.closeUp(site);
    }),
    f: does(() => setScene({ follow: !useScene.getState().follow })),
    l: does(() => {
      actions().setUi({ loupeOn: !useStore.getState().ui.loupeOn });
      if (!useStore.getState().ui.loupeOn) engine.setLoupe(null);
    }),
    x: does(() => commands.toggleSection()),
    v: does(() => setScene({ sectionFlipped: !useScene.getState().sectionFlipped })),
    g: does(() => setScene({ snapping: !useScene.getState().snapping })),
    '?': does(() => setScene({ keysShown: true })),
    'Shift+?': does(() => setScene({ keysShown: true })),
    Escape: does(() => {
      engine.setExtras({ cursor: false, ghost: null });
      engine.setLoupe(null);
      if (isCrownTool()) endCrownTool(engine);
      else if (useScene.getState().tool !== 'mark') commands.endFrameTool();
      else selectSite(null);
    }),
  });
  stage.addEventListener('keyup', keyUp);
  stage.addEventListener('blur', endNudge);
  return () => {
    unbind();
    endNudge();
    stage.removeEventListener('blur', endNudge);
    stage.removeEventListener('keyup', keyUp);
  };
}
