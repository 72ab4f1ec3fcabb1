import { type Jaw, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import { distance, type Vec2, type Vec3 } from '../../core/base/Vec3.ts';
import type { PaintedBall } from '../../core/crowns/crownCorrections.ts';
import type { PointerDrag } from '../scene/pointerInput.ts';
import type { SceneEngine } from '../scene/SceneEngine.ts';
import { setScene, useScene } from '../scene/sceneStore.ts';
import { actions, useStore } from '../store.ts';
import { correctCrown, withClick, withPainted } from './correctCrown.ts';

export const BRUSH_MM = { least: 0.4, most: 4, step: 0.2 } as const;

/** Balls of a stroke stand half a radius apart. */
const SPACING = 0.5;

/** Pointer and keys while the crown of the selected tooth is corrected. */
export interface CrownPurpose {
  readonly click: (atPx: Vec2) => void;
  readonly dragFrom: (atPx: Vec2, event: { readonly altKey: boolean }) => PointerDrag | null;
  readonly hover: (atPx: Vec2 | null) => void;
  /** The same by keys, at the cross in the middle of the view; the first call shows the cross. */
  readonly atCross: (what: 'click' | 'add' | 'take') => void;
  readonly changeBrush: (by: 1 | -1) => void;
}

const toothOfCrownTool = (): Tooth | null => {
  const { selectedSite, selectedTooth } = useStore.getState().ui;
  return selectedSite?.tooth ?? selectedTooth;
};

export function crownPurpose(jaw: Jaw, engine: SceneEngine): CrownPurpose {
  const radius = (): number => useScene.getState().brushMm;

  function chosen(): Tooth | null {
    const tooth = toothOfCrownTool();
    if (tooth === null) actions().announce('Choose the tooth in the chart first.');
    return tooth;
  }

  function say(pointMm: Vec3 | null): void {
    const tooth = chosen();
    if (tooth === null) return;
    if (!pointMm) actions().announce('No surface there; click on the crown.');
    else void correctCrown(jaw, tooth, withClick(tooth, pointMm));
  }

  function paint(tooth: Tooth, take: boolean, pointsMm: readonly Vec3[], radiusMm: number): void {
    const balls = pointsMm.map((pointMm): PaintedBall => ({ tooth: take ? 0 : tooth, pointMm, radiusMm }));
    void correctCrown(jaw, tooth, withPainted(balls));
  }

  function dragFrom(atPx: Vec2, { altKey }: { readonly altKey: boolean }): PointerDrag | null {
    const first = engine.pick(atPx);
    const tooth = first && chosen();
    if (!first || tooth === null) return null;
    const radiusMm = radius();
    const take = (useScene.getState().brush === 'take') !== altKey;
    const points: Vec3[] = [first];
    const show = (): void =>
      engine.setExtras({ brush: points.map((pointMm) => ({ pointMm, radiusMm, take })) });
    show();
    return {
      move: (at) => {
        const hit = engine.pick(at);
        if (!hit || distance(hit, points[points.length - 1]) < SPACING * radiusMm) return;
        points.push(hit);
        show();
      },
      end: () => {
        engine.setExtras({ brush: [] });
        paint(tooth, take, points, radiusMm);
      },
      cancel: () => engine.setExtras({ brush: [] }),
    };
  }

  function hover(atPx: Vec2 | null): void {
    if (engine.extras.cursor) engine.setExtras({ cursor: false });
    const pointMm = atPx && engine.pick(atPx);
    const take = useScene.getState().brush === 'take';
    engine.setExtras({ brush: pointMm ? [{ pointMm, radiusMm: radius(), take }] : [] });
  }

  function atCross(what: 'click' | 'add' | 'take'): void {
    const middle: Vec2 = [engine.viewport.widthPx / 2, engine.viewport.heightPx / 2];
    const pointMm = engine.pick(middle);
    if (!engine.extras.cursor) {
      const brush = pointMm ? [{ pointMm, radiusMm: radius(), take: what === 'take' }] : [];
      engine.setExtras({ cursor: true, brush });
      actions().announce(
        'Cross shown in the middle of the view; arrow keys move the picture. The same key again acts there.',
      );
      return;
    }
    const tooth = chosen();
    if (tooth === null) return;
    if (what === 'click' || !pointMm) say(pointMm);
    else paint(tooth, what === 'take', [pointMm], radius());
  }

  return {
    click: (atPx) => say(engine.pick(atPx)),
    dragFrom,
    hover,
    atCross,
    changeBrush: (by) => {
      const { least, most, step } = BRUSH_MM;
      const brushMm = Math.min(most, Math.max(least, Math.round(10 * (radius() + by * step)) / 10));
      setScene({ brushMm });
      engine.setExtras({ brush: engine.extras.brush.map((ball) => ({ ...ball, radiusMm: brushMm })) });
      actions().announce(`Brush ${brushMm.toFixed(1)} mm.`);
    },
  };
}

/** Begins correcting crowns, with the crowns shown; without a tooth it says what to do. */
export function startCrownTool(): void {
  setScene({ tool: 'crown', crownsTinted: true });
  const tooth = toothOfCrownTool();
  const { notation } = useStore.getState().caseDocument;
  actions().announce(
    tooth === null
      ? 'Correct crown: choose a tooth in the chart.'
      : `Correct the crown of ${toothLabel(tooth, notation)}: click on it, or paint over its edge.`,
  );
}

export function endCrownTool(engine?: SceneEngine): void {
  engine?.setExtras({ brush: [], cursor: false });
  setScene({ tool: 'mark' });
}
