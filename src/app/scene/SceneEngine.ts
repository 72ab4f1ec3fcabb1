import { Color, OrthographicCamera, Plane, type Scene, Vector3, type WebGLRenderer } from 'three';
import type { Tooth } from '../../core/base/tooth.ts';
import { add, dot, scale, subtract, type Vec2, type Vec3 } from '../../core/base/Vec3.ts';
import type { Mark } from '../../core/marks/Mark.ts';
import { movedPoint, type RigidMove } from '../course/crownMoves.ts';
import { aimCamera } from './aimCamera.ts';
import { type CameraView, pixelOf, sightLine, type Viewport, viewBetween } from './cameraView.ts';
import {
  drawLoupeFrame,
  drawOverlay,
  type OverlayExtras,
  type OverlayPalette,
  type OverlayPicture,
} from './drawOverlay.ts';
import { type SceneContent, withDraft, withMoves } from './SceneContent.ts';
import { type CutPlane, sectionOutline } from './sectionOutline.ts';
import { type SurfacePicker, shownHit } from './shownHit.ts';

interface Canvases {
  readonly renderer: WebGLRenderer;
  readonly scene: Scene;
  readonly overlay: HTMLCanvasElement;
  readonly invalidate: () => void;
}

const LOUPE_SIZE_PX = 208;
const LOUPE_SPAN_MM = 5;
const LOUPE_MARGIN_PX = 12;
const GLIDE_MS = 280;
/** A mark lies on the surface: the look back to the eye starts this far off it. */
const CLEAR_OF_SURFACE_MM = 0.1;
const OUTLINE_RADIUS_MM = 14;

const NO_EXTRAS: OverlayExtras = {
  ghost: null,
  outline: null,
  handles: [],
  picked: [],
  brush: [],
  cursor: false,
};

/**
 * The picture of one arch: a parallel camera, an inset close-up, the drawing over both, and picking on the full
 * surface. It draws only when something changed and knows neither React nor the case.
 */
export class SceneEngine {
  view: CameraView = { targetMm: [0, 0, 0], toward: [0, 0, 1], up: [0, 1, 0], spanMm: 80 };
  viewport: Viewport = { leftPx: 0, topPx: 0, widthPx: 1, heightPx: 1 };
  content: SceneContent | null = null;
  extras: OverlayExtras = NO_EXTRAS;
  /** Plane shared with the surface's material; empty while nothing is cut. */
  readonly clippingPlanes: Plane[] = [];
  glides = true;

  private canvases: Canvases | null = null;
  private picker: SurfacePicker | null = null;
  private surface: { readonly positions: Float32Array; readonly indices: Uint32Array } | null = null;
  private cut: CutPlane | null = null;
  private palette: OverlayPalette | null = null;
  private ground = new Color('#e9e4d8');
  private readonly mainCamera = new OrthographicCamera();
  private readonly loupeCamera = new OrthographicCamera();
  private loupe: { readonly pointMm: Vec3; readonly caption: string } | null = null;
  private loupeOnLeft = false;
  private moves: ReadonlyMap<Tooth, RigidMove> | null = null;
  private draft: Mark | null = null;
  private draftSettled = false;
  private dirty: 'nothing' | 'overlay' | 'loupe' | 'main' = 'main';
  private glide: { from: CameraView; to: CameraView; startMs: number } | null = null;
  private seen = new Map<string, boolean>();
  private drawnSize: Vec2 = [0, 0]; // of the drawing buffer
  private readonly viewListeners = new Set<() => void>();
  private readonly sizeListeners = new Set<() => void>();

  attach(canvases: Canvases): () => void {
    this.canvases = canvases;
    canvases.renderer.autoClear = false;
    this.redraw();
    return () => {
      if (this.canvases === canvases) this.canvases = null;
    };
  }

  /** The surface for picking and the mesh its cuts are taken from. */
  setSurface(picker: SurfacePicker | null, mesh: typeof this.surface): void {
    this.picker = picker;
    this.surface = mesh;
    this.loupe = null;
    this.seen.clear();
    this.refreshOutline();
    this.redraw();
  }

  setContent(content: SceneContent | null): void {
    this.content = content;
    if (this.draftSettled) this.draft = null;
    this.draw('overlay');
  }

  /**
   * How crowns are drawn away from where they were scanned; null: as they are. What lies on a moved crown is drawn with
   * it, and nothing is picked, as the surface asked is the one scanned.
   */
  setMoves(moves: ReadonlyMap<Tooth, RigidMove> | null): void {
    if (moves === null && this.moves === null) return;
    this.moves = moves;
    this.seen.clear();
    this.refreshOutline();
    this.redraw();
  }

  /** Where a scanned point of a tooth's crown is drawn. */
  drawnAt(tooth: Tooth, pointMm: Vec3): Vec3 {
    const move = this.moves?.get(tooth);
    return move ? movedPoint(move, pointMm) : pointMm;
  }

  /** A mark drawn at another place than the content says, until that content has followed. */
  setDraft(draft: Mark): void {
    this.draft = draft;
    this.draftSettled = false;
    this.draw('overlay');
  }

  /** The draft's last place was written: the next content brings it. */
  settleDraft(): void {
    this.draftSettled = true;
    this.draw('overlay');
  }

  setExtras(change: Partial<OverlayExtras>): void {
    this.extras = { ...this.extras, ...change };
    this.draw('overlay');
  }

  setTheme(palette: OverlayPalette, ground: string): void {
    this.palette = palette;
    this.ground = new Color(ground);
    this.redraw();
  }

  setSize(widthPx: number, heightPx: number): void {
    if (widthPx === this.viewport.widthPx && heightPx === this.viewport.heightPx) return;
    this.viewport = { leftPx: 0, topPx: 0, widthPx: Math.max(1, widthPx), heightPx: Math.max(1, heightPx) };
    for (const listener of this.sizeListeners) listener();
    this.redraw();
  }

  onSizeChange(listener: () => void): () => void {
    this.sizeListeners.add(listener);
    return () => this.sizeListeners.delete(listener);
  }

  setView(view: CameraView): void {
    this.glide = null;
    this.view = view;
    this.viewChanged();
  }

  /** Goes to a view in a short glide, or at once where motion is unwanted. */
  goTo(view: CameraView): void {
    if (!this.glides) {
      this.setView(view);
      return;
    }
    this.glide = { from: this.view, to: view, startMs: performance.now() };
    this.draw('main');
  }

  /** Where the camera stands or is gliding to. */
  get destination(): CameraView {
    return this.glide?.to ?? this.view;
  }

  onViewChange(listener: () => void): () => void {
    this.viewListeners.add(listener);
    return () => this.viewListeners.delete(listener);
  }

  setCut(cut: CutPlane | null): void {
    if (!cut && !this.cut) return; // nothing is cut: the surface need not be drawn again
    this.cut = cut;
    this.clippingPlanes.length = 0;
    if (cut) {
      const normal = new Vector3(...cut.normal).negate();
      this.clippingPlanes.push(new Plane(normal, dot(cut.normal, cut.pointMm)));
    }
    this.seen.clear();
    this.refreshOutline();
    this.redraw();
  }

  setLoupe(loupe: { readonly pointMm: Vec3; readonly caption: string } | null, pointerPx?: Vec2): void {
    const was = this.loupe;
    this.loupe = loupe;
    const leaves = Boolean(was) !== Boolean(loupe);
    const moves = pointerPx !== undefined && loupe !== null && this.keepLoupeClear(pointerPx);
    if (leaves || moves) this.draw('main');
    else if (loupe) this.draw('loupe');
  }

  /** Inset rectangle in CSS pixels. */
  get loupeRect(): Viewport {
    const size = Math.min(LOUPE_SIZE_PX, this.viewport.widthPx * 0.42, this.viewport.heightPx * 0.42);
    return {
      leftPx: this.loupeOnLeft ? LOUPE_MARGIN_PX : this.viewport.widthPx - size - LOUPE_MARGIN_PX,
      topPx: this.viewport.heightPx - size - (this.viewport.widthPx < 1040 ? 80 : LOUPE_MARGIN_PX),
      widthPx: size,
      heightPx: size,
    };
  }

  /** First visible point of the full surface under a pixel; what a cut takes away is not hit. */
  pick(atPx: Vec2): Vec3 | null {
    if (this.moves) return null;
    const { originMm, direction } = sightLine(this.view, atPx, this.viewport);
    return shownHit(this.picker, this.cut, originMm, direction);
  }

  /** True when nothing of the shown surface lies between a point and the eye. */
  isVisible(pointMm: Vec3): boolean {
    if (this.moves) return true;
    const key = pointMm.join(',');
    const known = this.seen.get(key);
    if (known !== undefined) return known;
    const free = this.looksFree(pointMm);
    if (this.seen.size > 2000) this.seen.clear();
    this.seen.set(key, free);
    return free;
  }

  pixelOf(pointMm: Vec3): Vec2 {
    return pixelOf(this.view, pointMm, this.viewport);
  }

  redraw(): void {
    this.draw('main');
  }

  draw(what: 'overlay' | 'loupe' | 'main'): void {
    const order = ['nothing', 'overlay', 'loupe', 'main'];
    if (order.indexOf(what) > order.indexOf(this.dirty)) this.dirty = what;
    this.canvases?.invalidate();
  }

  /** Called once a frame by the canvas; draws what has changed and asks for another frame while gliding. */
  frame(): void {
    const { canvases } = this;
    if (!canvases) return;
    this.advanceGlide();
    const { renderer, scene } = canvases;
    // A canvas that was given another size has lost its picture, whoever asked for the frame.
    const { width, height } = renderer.domElement;
    if (width !== this.drawnSize[0] || height !== this.drawnSize[1]) this.dirty = 'main';
    this.drawnSize = [width, height];
    if (this.dirty === 'nothing') return;
    if (this.dirty === 'main') {
      aimCamera(this.mainCamera, this.view, this.viewport);
      renderer.setScissorTest(false);
      this.render(renderer, scene, this.mainCamera, this.viewport);
    }
    if (this.loupe && (this.dirty === 'main' || this.dirty === 'loupe')) {
      const rect = this.loupeRect;
      aimCamera(this.loupeCamera, this.loupeView(), rect);
      renderer.setScissorTest(true);
      this.render(renderer, scene, this.loupeCamera, rect);
      renderer.setScissorTest(false);
    }
    this.paintOverlay(canvases.overlay);
    this.dirty = 'nothing';
    if (this.glide) this.draw('main');
  }

  private render(renderer: WebGLRenderer, scene: Scene, camera: OrthographicCamera, rect: Viewport): void {
    const bottom = this.viewport.heightPx - rect.topPx - rect.heightPx;
    renderer.setViewport(rect.leftPx, bottom, rect.widthPx, rect.heightPx);
    renderer.setScissor(rect.leftPx, bottom, rect.widthPx, rect.heightPx);
    renderer.setClearColor(this.ground, 1);
    renderer.clear();
    renderer.render(scene, camera);
  }

  private paintOverlay(canvas: HTMLCanvasElement): void {
    const context = canvas.getContext('2d');
    if (!context || !this.palette) return;
    const ratio = Math.min(2, window.devicePixelRatio || 1);
    const width = Math.round(this.viewport.widthPx * ratio);
    const height = Math.round(this.viewport.heightPx * ratio);
    if (canvas.width !== width || canvas.height !== height) {
      canvas.width = width;
      canvas.height = height;
    }
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    context.clearRect(0, 0, this.viewport.widthPx, this.viewport.heightPx);
    if (!this.content) return;
    const drafted = this.draft ? withDraft(this.content, this.draft) : this.content;
    const content = this.moves ? withMoves(drafted, (tooth, point) => this.drawnAt(tooth, point)) : drafted;
    const shared = { context, palette: this.palette, visible: (point: Vec3) => this.isVisible(point) };
    drawOverlay({ ...shared, view: this.view, viewport: this.viewport }, content, this.extras);
    if (this.loupe) this.paintLoupe({ ...shared, view: this.loupeView(), viewport: this.loupeRect }, content);
  }

  private paintLoupe(picture: OverlayPicture, content: SceneContent): void {
    const { context, viewport } = picture;
    context.clearRect(viewport.leftPx, viewport.topPx, viewport.widthPx, viewport.heightPx);
    if (!this.loupe) return;
    drawOverlay(
      picture,
      { ...content, teeth: [], contact: null, archLineMm: [] },
      { ...this.extras, handles: [], cursor: false },
    );
    drawLoupeFrame(picture, this.loupe.caption);
  }

  private loupeView(): CameraView {
    return { ...this.view, targetMm: this.loupe?.pointMm ?? this.view.targetMm, spanMm: LOUPE_SPAN_MM };
  }

  /** Moves the inset to the other corner when the pointer comes near it; true when it moved. */
  private keepLoupeClear([xPx, yPx]: Vec2): boolean {
    const rect = this.loupeRect;
    const near =
      xPx > rect.leftPx - 24 &&
      xPx < rect.leftPx + rect.widthPx + 24 &&
      yPx > rect.topPx - 24 &&
      yPx < rect.topPx + rect.heightPx + 24;
    if (near) this.loupeOnLeft = !this.loupeOnLeft;
    return near;
  }

  private advanceGlide(): void {
    if (!this.glide) return;
    const passed = (performance.now() - this.glide.startMs) / GLIDE_MS;
    const eased = passed >= 1 ? 1 : passed * passed * (3 - 2 * passed);
    this.view = viewBetween(this.glide.from, this.glide.to, Math.max(0, eased));
    if (passed >= 1) this.glide = null;
    this.viewChanged();
  }

  private viewChanged(): void {
    this.seen.clear();
    this.draw('main');
    for (const listener of this.viewListeners) listener();
  }

  private looksFree(pointMm: Vec3): boolean {
    if (!this.picker) return false;
    if (this.cut && dot(subtract(pointMm, this.cut.pointMm), this.cut.normal) > 0.02) return false;
    const start = add(pointMm, scale(this.view.toward, CLEAR_OF_SURFACE_MM));
    return shownHit(this.picker, this.cut, start, this.view.toward) === null;
  }

  private refreshOutline(): void {
    const outline =
      this.cut && this.surface && !this.moves
        ? sectionOutline(this.surface, this.cut, OUTLINE_RADIUS_MM)
        : null;
    this.extras = { ...this.extras, outline };
  }
}
