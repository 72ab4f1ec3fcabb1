import type { Vec2, Vec3 } from '../../core/base/Vec3.ts';
import { type CameraView, orbited, panned, rolled, zoomed } from './cameraView.ts';
import type { SceneEngine } from './SceneEngine.ts';

/** A drag that is not about the camera; `move` and `end` get canvas pixels. */
export interface PointerDrag {
  readonly move: (atPx: Vec2, event: PointerEvent) => void;
  readonly end: () => void;
  readonly cancel: () => void;
}

export interface PointerPurpose {
  /** A drag begun here, or null to leave it to the camera. Called once the pointer has really moved. */
  readonly dragFrom: (atPx: Vec2, event: PointerEvent) => PointerDrag | null;
  readonly click: (atPx: Vec2, event: PointerEvent) => void;
  readonly hover: (atPx: Vec2 | null, event: PointerEvent) => void;
  readonly flat: () => boolean;
  /** The user turned, moved or zoomed the picture. */
  readonly cameraMoved: (kind: 'turned' | 'moved' | 'zoomed') => void;
}

const CLICK_SLOP_PX = 4;
const TURN_RAD_PER_PX = 0.0075;
const WHEEL_ZOOM_PER_PX = 0.0016;

type Gesture =
  | { kind: 'undecided'; startPx: Vec2; button: number }
  | { kind: 'purpose'; drag: PointerDrag }
  | { kind: 'turn'; view: CameraView; startPx: Vec2; pivotMm: Vec3 }
  | { kind: 'pan'; lastPx: Vec2 }
  | { kind: 'pinch'; lastPx: readonly [Vec2, Vec2] }
  | { kind: 'spent' };

/**
 * Mouse, pen and touch on the canvas. One pointer works or turns, two fingers move, zoom and roll; right or middle
 * button or Shift moves. Moves are taken once per frame, the last one wins. Returns the undoing.
 */
export function pointerInput(element: HTMLElement, engine: SceneEngine, purpose: PointerPurpose): () => void {
  const down = new Map<number, Vec2>();
  let gesture: Gesture | null = null;
  let waiting: { event: PointerEvent; frame: number } | null = null;

  const pixel = (event: PointerEvent | WheelEvent): Vec2 => {
    const box = element.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const twoFingers = (): readonly [Vec2, Vec2] => {
    const [a, b] = [...down.values()];
    return [a, b];
  };

  function start(event: PointerEvent): void {
    if (event.button > 2) return;
    element.setPointerCapture(event.pointerId);
    down.set(event.pointerId, pixel(event));
    if (down.size === 2) {
      if (gesture?.kind === 'purpose') gesture.drag.cancel();
      gesture = { kind: 'pinch', lastPx: twoFingers() };
    } else if (down.size === 1) {
      gesture = { kind: 'undecided', startPx: pixel(event), button: event.button };
    }
  }

  function decide(event: PointerEvent, startPx: Vec2, button: number): Gesture {
    if (button === 0 && !event.shiftKey) {
      const drag = purpose.dragFrom(startPx, event);
      if (drag) return { kind: 'purpose', drag };
      if (!purpose.flat()) {
        purpose.cameraMoved('turned');
        const pivotMm = engine.pick(startPx) ?? engine.view.targetMm;
        return { kind: 'turn', view: engine.destination, startPx, pivotMm };
      }
    }
    purpose.cameraMoved('moved');
    return { kind: 'pan', lastPx: startPx };
  }

  function move(event: PointerEvent): void {
    const at = pixel(event);
    if (!down.has(event.pointerId)) {
      purpose.hover(at, event);
      return;
    }
    down.set(event.pointerId, at);
    if (gesture?.kind === 'undecided') {
      const { startPx, button } = gesture;
      if (Math.hypot(at[0] - startPx[0], at[1] - startPx[1]) < CLICK_SLOP_PX) return;
      gesture = decide(event, startPx, button);
    }
    if (gesture?.kind === 'purpose') gesture.drag.move(at, event);
    else if (gesture?.kind === 'turn') {
      const dx = (at[0] - gesture.startPx[0]) * TURN_RAD_PER_PX;
      const dy = (at[1] - gesture.startPx[1]) * TURN_RAD_PER_PX;
      engine.setView(orbited(gesture.view, dx, dy, gesture.pivotMm));
    } else if (gesture?.kind === 'pan') {
      engine.setView(
        panned(engine.destination, at[0] - gesture.lastPx[0], at[1] - gesture.lastPx[1], engine.viewport),
      );
      gesture = { kind: 'pan', lastPx: at };
    } else if (gesture?.kind === 'pinch' && down.size === 2) gesture = pinch(gesture.lastPx);
  }

  function pinch([a, b]: readonly [Vec2, Vec2]): Gesture {
    const [c, d] = twoFingers();
    const middle: Vec2 = [(c[0] + d[0]) / 2, (c[1] + d[1]) / 2];
    const before: Vec2 = [b[0] - a[0], b[1] - a[1]];
    const after: Vec2 = [d[0] - c[0], d[1] - c[1]];
    const turn = Math.atan2(after[1], after[0]) - Math.atan2(before[1], before[0]);
    let view = panned(
      engine.destination,
      middle[0] - (a[0] + b[0]) / 2,
      middle[1] - (a[1] + b[1]) / 2,
      engine.viewport,
    );
    view = zoomed(view, Math.hypot(...after) / Math.max(1, Math.hypot(...before)), middle, engine.viewport);
    if (!purpose.flat()) view = rolled(view, turn);
    purpose.cameraMoved('zoomed');
    engine.setView(view);
    return { kind: 'pinch', lastPx: [c, d] };
  }

  function onMove(event: PointerEvent): void {
    if (waiting) {
      waiting.event = event;
      return;
    }
    waiting = {
      event,
      frame: requestAnimationFrame(() => {
        const last = waiting?.event;
        waiting = null;
        if (last) move(last);
      }),
    };
  }

  /** The last move counts before the button is taken as released. */
  function settle(): void {
    if (!waiting) return;
    cancelAnimationFrame(waiting.frame);
    const { event } = waiting;
    waiting = null;
    move(event);
  }

  function release(event: PointerEvent): void {
    if (!down.has(event.pointerId)) return;
    settle();
    down.delete(event.pointerId);
    if (gesture?.kind === 'purpose') gesture.drag.end();
    else if (gesture?.kind === 'undecided' && gesture.button === 0) purpose.click(gesture.startPx, event);
    gesture = down.size > 0 ? { kind: 'spent' } : null;
  }

  function abandon(event: PointerEvent): void {
    down.delete(event.pointerId);
    if (gesture?.kind === 'purpose') gesture.drag.cancel();
    gesture = down.size > 0 ? { kind: 'spent' } : null;
  }

  function leave(event: PointerEvent): void {
    if (down.size > 0) return;
    if (waiting) cancelAnimationFrame(waiting.frame);
    waiting = null;
    purpose.hover(null, event);
  }

  function wheel(event: WheelEvent): void {
    event.preventDefault();
    const pixels = event.deltaMode === 1 ? event.deltaY * 16 : event.deltaY;
    const factor = Math.exp(-Math.max(-300, Math.min(300, pixels)) * WHEEL_ZOOM_PER_PX);
    purpose.cameraMoved('zoomed');
    engine.setView(zoomed(engine.destination, factor, pixel(event), engine.viewport));
  }

  const noMenu = (event: Event): void => event.preventDefault();
  element.addEventListener('pointerdown', start);
  element.addEventListener('pointermove', onMove);
  element.addEventListener('pointerup', release);
  element.addEventListener('pointercancel', abandon);
  element.addEventListener('pointerleave', leave);
  element.addEventListener('wheel', wheel, { passive: false });
  element.addEventListener('contextmenu', noMenu);
  return () => {
    if (waiting) cancelAnimationFrame(waiting.frame);
    element.removeEventListener('pointerdown', start);
    element.removeEventListener('pointermove', onMove);
    element.removeEventListener('pointerup', release);
    element.removeEventListener('pointercancel', abandon);
    element.removeEventListener('pointerleave', leave);
    element.removeEventListener('wheel', wheel);
    element.removeEventListener('contextmenu', noMenu);
  };
}
