import { distance, dot, mix, type Vec2, type Vec3 } from '../../core/base/Vec3.ts';
import type { MarkSite } from '../../core/marks/Mark.ts';
import { fixed } from '../format.ts';
import { type CameraView, pixelOf, type Viewport } from './cameraView.ts';
import { type SceneContent, type ShownMark, type ShownTooth, shownWidthMm } from './SceneContent.ts';

/** Colours of the drawing over the surface, taken from the page's theme. */
export interface OverlayPalette {
  readonly mesial: string;
  readonly distal: string;
  readonly tip: string; // cusp and incisal marks
  readonly halo: string;
  readonly etch: string; // fine lines on the scan
  readonly ink: string;
  readonly inkSoft: string;
  readonly accent: string;
  readonly line: string;
  readonly paper: string;
  readonly cut: string;
  readonly font: string;
}

/** One picture to draw over: the main view or the loupe. */
export interface OverlayPicture {
  readonly context: CanvasRenderingContext2D;
  readonly view: CameraView;
  readonly viewport: Viewport;
  readonly palette: OverlayPalette;
  readonly visible: (pointMm: Vec3) => boolean;
}

export interface OverlayExtras {
  /** Where a click would put the mark, and the surface point under the pointer it comes from. */
  readonly ghost: { readonly site: MarkSite; readonly pointMm: Vec3; readonly fromMm: Vec3 } | null;
  /** Ends of the cut outline, 6 numbers per segment, mm. */
  readonly outline: Float32Array | null;
  readonly handles: readonly { readonly pointMm: Vec3; readonly fromMm: Vec3; readonly label: string }[];
  readonly picked: readonly Vec3[];
  /** Where the brush is or has been; `take`: it takes away. */
  readonly brush: readonly { readonly pointMm: Vec3; readonly radiusMm: number; readonly take: boolean }[];
  readonly cursor: boolean; // keyboard cross in the middle of the view
}

const HIDDEN_ALPHA = 0.6;
/** From above, a crown is seen even where its contact points are not. */
const FROM_ABOVE = 0.6;

export function drawOverlay(picture: OverlayPicture, content: SceneContent, extras: OverlayExtras): void {
  const { context, viewport } = picture;
  context.save();
  context.beginPath();
  context.rect(viewport.leftPx, viewport.topPx, viewport.widthPx, viewport.heightPx);
  context.clip();
  context.lineJoin = 'round';
  context.lineCap = 'round';
  if (extras.outline) drawOutline(picture, extras.outline);
  if (content.archLineMm.length > 1) drawArchLine(picture, content.archLineMm);
  for (const tooth of content.teeth) if (tooth.selected || tooth.evidence) drawWidth(picture, tooth);
  for (const mark of content.marks) drawMark(picture, mark);
  const taken: Vec2[] = []; // where labels with a width stand
  for (const tooth of content.teeth) {
    const seen =
      (!extras.outline && dot(picture.view.toward, content.frame.occlusal) > FROM_ABOVE) ||
      [tooth.mesialMm, tooth.distalMm].some((point) => point && picture.visible(point));
    if (seen || tooth.selected || !extras.outline) drawToothLabel(picture, tooth, seen, taken);
  }
  if (content.contact) drawContact(picture, content.contact);
  if (extras.ghost) drawGhost(picture, extras.ghost);
  for (const handle of extras.handles) drawHandle(picture, handle);
  for (const point of extras.picked) drawPicked(picture, point);
  for (const ball of extras.brush) drawBrush(picture, ball);
  if (extras.cursor) drawCursor(picture);
  context.restore();
}

function strokeTwice({ context, palette }: OverlayPicture, color: string, widthPx: number): void {
  context.strokeStyle = palette.halo;
  context.lineWidth = widthPx + 2.5;
  context.stroke();
  context.strokeStyle = color;
  context.lineWidth = widthPx;
  context.stroke();
}

function tracePath(picture: OverlayPicture, points: readonly Vec3[]): void {
  picture.context.beginPath();
  points.forEach((point, i) => {
    const [x, y] = pixelOf(picture.view, point, picture.viewport);
    if (i === 0) picture.context.moveTo(x, y);
    else picture.context.lineTo(x, y);
  });
}

function drawArchLine(picture: OverlayPicture, points: readonly Vec3[]): void {
  tracePath(picture, points);
  picture.context.globalAlpha = 0.9;
  strokeTwice(picture, picture.palette.line, 1.75);
  picture.context.globalAlpha = 1;
}

function drawOutline(picture: OverlayPicture, segments: Float32Array): void {
  const { context, view, viewport } = picture;
  context.beginPath();
  for (let i = 0; i < segments.length; i += 6) {
    const [ax, ay] = pixelOf(view, [segments[i], segments[i + 1], segments[i + 2]], viewport);
    const [bx, by] = pixelOf(view, [segments[i + 3], segments[i + 4], segments[i + 5]], viewport);
    context.moveTo(ax, ay);
    context.lineTo(bx, by);
  }
  strokeTwice(picture, picture.palette.cut, 2);
}

/** Radius of a mark: smaller in the whole-arch view, where two marks of one contact lie a few pixels apart. */
const markRadius = ({ view, viewport }: OverlayPicture): number =>
  Math.max(4, Math.min(7.5, (viewport.heightPx / view.spanMm) * 0.42));

/** Shape of a site: mesial a triangle, distal a square, cusp a rhombus, incisal a bar. */
function traceSite(context: CanvasRenderingContext2D, site: MarkSite, [x, y]: Vec2, r: number): void {
  context.beginPath();
  if (site === 'mesial') {
    context.moveTo(x, y - r * 1.15);
    context.lineTo(x + r * 1.1, y + r * 0.8);
    context.lineTo(x - r * 1.1, y + r * 0.8);
  } else if (site === 'distal') {
    context.rect(x - r * 0.85, y - r * 0.85, r * 1.7, r * 1.7);
  } else if (site === 'cusp') {
    context.moveTo(x, y - r * 1.25);
    context.lineTo(x + r, y);
    context.lineTo(x, y + r * 1.25);
    context.lineTo(x - r, y);
  } else {
    context.rect(x - r * 1.4, y - r * 0.5, r * 2.8, r);
  }
  context.closePath();
}

const siteColor = (palette: OverlayPalette, site: MarkSite): string =>
  site === 'mesial' ? palette.mesial : site === 'distal' ? palette.distal : palette.tip;

function drawMark(picture: OverlayPicture, mark: ShownMark): void {
  const { context, palette, view, viewport } = picture;
  const at = pixelOf(view, mark.pointMm, viewport);
  const r = markRadius(picture);
  const color = siteColor(palette, mark.site);
  context.globalAlpha = picture.visible(mark.pointMm) || mark.selected || mark.evidence ? 1 : HIDDEN_ALPHA;
  if (mark.evidence && !mark.selected) {
    context.beginPath();
    context.arc(at[0], at[1], r + 4, 0, 2 * Math.PI);
    strokeTwice(picture, palette.accent, 1.25);
  }
  if (mark.selected) {
    context.beginPath();
    context.arc(at[0], at[1], r + 6, 0, 2 * Math.PI);
    strokeTwice(picture, palette.accent, 2);
  }
  traceSite(context, mark.site, at, r);
  context.strokeStyle = palette.halo;
  context.lineWidth = mark.proposed ? 5 : 3;
  context.stroke();
  if (mark.proposed) {
    context.fillStyle = palette.halo;
    context.fill();
    context.strokeStyle = color;
    context.lineWidth = 2;
    context.setLineDash([2.5, 2.5]);
    context.stroke();
    context.setLineDash([]);
  } else {
    context.fillStyle = color;
    context.fill();
  }
  context.beginPath();
  context.arc(at[0], at[1], 1.3, 0, 2 * Math.PI);
  context.fillStyle = mark.proposed ? color : palette.halo;
  context.fill();
  context.globalAlpha = 1;
}

function drawWidth(picture: OverlayPicture, tooth: ShownTooth): void {
  if (!tooth.mesialMm || !tooth.distalMm) return;
  const { context, palette, view, viewport } = picture;
  const a = pixelOf(view, tooth.mesialMm, viewport);
  const b = pixelOf(view, tooth.distalMm, viewport);
  context.beginPath();
  context.moveTo(...(a as [number, number]));
  context.lineTo(...(b as [number, number]));
  strokeTwice(picture, tooth.selected ? palette.accent : palette.ink, tooth.selected ? 2 : 1.5);
}

/** Room of a label with a width, px, and how it is moved off its tooth where another stands there. */
const WIDE_LABEL_PX: Vec2 = [98, 22];
const MOVE_ON = 1.25;
const MOST_MOVES = 3;

const isFree = (taken: readonly Vec2[], [x, y]: Vec2): boolean =>
  taken.every(([tx, ty]) => Math.abs(tx - x) >= WIDE_LABEL_PX[0] || Math.abs(ty - y) >= WIDE_LABEL_PX[1]);

function drawToothLabel(picture: OverlayPicture, tooth: ShownTooth, seen: boolean, taken: Vec2[]): void {
  const { view, viewport, palette } = picture;
  const middle = pixelOf(view, tooth.centreMm, viewport);
  const widthMm = tooth.selected || tooth.evidence ? shownWidthMm(tooth) : null;
  const strong = tooth.selected || tooth.evidence;
  // On the line from mesial to distal the label would hide what it names: lifted to its upper side.
  let lift: Vec2 = [0, 0];
  if (widthMm !== null && tooth.mesialMm && tooth.distalMm) {
    const a = pixelOf(view, tooth.mesialMm, viewport);
    const b = pixelOf(view, tooth.distalMm, viewport);
    const across: Vec2 = [b[1] - a[1], a[0] - b[0]];
    const size = Math.hypot(across[0], across[1]) || 1;
    const sign = across[1] > 0 ? -1 : 1;
    const far = 18 + 34 * Math.abs(across[0] / size);
    lift = [(sign * across[0] * far) / size, (sign * across[1] * far) / size];
  }
  let at: Vec2 = [middle[0] + lift[0], middle[1] + lift[1]];
  for (let move = 0; widthMm !== null && move < MOST_MOVES && !isFree(taken, at); move++)
    at = [middle[0] + (at[0] - middle[0]) * MOVE_ON, middle[1] + (at[1] - middle[1]) * MOVE_ON];
  // Where there is no room the number alone stands on the tooth; its width is in the strip and the table.
  const roomy = widthMm !== null && isFree(taken, at);
  if (roomy) taken.push(at);
  else at = middle;
  const text = roomy ? `${tooth.label}  ${fixed(widthMm)} mm` : tooth.label;
  drawPill(picture, text, at, strong ? palette.accent : null, seen || strong);
}

/**
 * How much of what lies beneath a plate of text covers. With these the text has 4.5 : 1 over a scan of any brightness in
 * both themes — tests/app/design/contrast.test.ts. What is turned away has softer ink.
 */
export const PLATE_ALPHA = { seen: 0.82, turnedAway: 0.86 } as const;

/** A line of text on a rounded plate; `edge` outlines it. */
function drawPill(
  { context, palette }: OverlayPicture,
  text: string,
  at: Vec2,
  edge: string | null,
  isSeen = true,
): void {
  context.font = `${isSeen ? 600 : 400} 12px ${palette.font}`;
  context.textAlign = 'center';
  context.textBaseline = 'middle';
  const half = context.measureText(text).width / 2 + 6;
  context.beginPath();
  context.roundRect(at[0] - half, at[1] - 9.5, 2 * half, 19, 6);
  context.fillStyle = palette.paper;
  context.globalAlpha = edge ? 1 : isSeen ? PLATE_ALPHA.seen : PLATE_ALPHA.turnedAway;
  context.fill();
  context.globalAlpha = 1;
  if (edge) {
    context.strokeStyle = edge;
    context.lineWidth = 1.5;
    context.stroke();
  }
  context.fillStyle = isSeen ? palette.ink : palette.inkSoft;
  context.fillText(text, at[0], at[1] + 0.5);
}

function drawContact(picture: OverlayPicture, contact: NonNullable<SceneContent['contact']>): void {
  const { context, palette, view, viewport } = picture;
  tracePath(picture, contact.pointsMm);
  strokeTwice(picture, palette.accent, 2);
  const middle = pixelOf(view, mix(contact.pointsMm[0], contact.pointsMm[1], 0.5), viewport);
  context.beginPath();
  context.arc(middle[0], middle[1], 16, 0, 2 * Math.PI);
  context.setLineDash([4, 3]);
  strokeTwice(picture, palette.accent, 1.5);
  context.setLineDash([]);
  drawPill(picture, contact.text, [middle[0], middle[1] - 32], palette.accent);
}

function drawGhost(picture: OverlayPicture, ghost: NonNullable<OverlayExtras['ghost']>): void {
  const { context, palette, view, viewport } = picture;
  const at = pixelOf(view, ghost.pointMm, viewport);
  const color = siteColor(palette, ghost.site);
  if (distance(ghost.pointMm, ghost.fromMm) > 0.02) {
    tracePath(picture, [ghost.fromMm, ghost.pointMm]);
    strokeTwice(picture, color, 1.25);
  }
  traceSite(context, ghost.site, at, markRadius(picture) + 1);
  strokeTwice(picture, color, 1.75);
}

function drawHandle(picture: OverlayPicture, handle: OverlayExtras['handles'][number]): void {
  const { context, palette, view, viewport } = picture;
  const at = pixelOf(view, handle.pointMm, viewport);
  tracePath(picture, [handle.fromMm, handle.pointMm]);
  strokeTwice(picture, palette.accent, 2);
  context.beginPath();
  context.arc(at[0], at[1], 8, 0, 2 * Math.PI);
  context.fillStyle = palette.accent;
  context.fill();
  context.strokeStyle = palette.halo;
  context.lineWidth = 2;
  context.stroke();
  drawPill(picture, handle.label, [at[0], at[1] - 20], palette.accent);
}

function drawPicked(picture: OverlayPicture, point: Vec3): void {
  const { context, palette, view, viewport } = picture;
  const at = pixelOf(view, point, viewport);
  context.beginPath();
  context.arc(at[0], at[1], 6, 0, 2 * Math.PI);
  context.fillStyle = palette.accent;
  context.fill();
  context.strokeStyle = palette.halo;
  context.lineWidth = 2;
  context.stroke();
}

/** A ring of the brush's size; dashed where it takes away. */
function drawBrush(picture: OverlayPicture, ball: OverlayExtras['brush'][number]): void {
  const { context, palette, view, viewport } = picture;
  const [x, y] = pixelOf(view, ball.pointMm, viewport);
  const radiusPx = (ball.radiusMm * viewport.heightPx) / view.spanMm;
  context.setLineDash(ball.take ? [4, 4] : []);
  context.beginPath();
  context.arc(x, y, radiusPx, 0, 2 * Math.PI);
  strokeTwice(picture, palette.accent, 1.5);
  context.setLineDash([]);
}

function drawCursor(picture: OverlayPicture): void {
  const { context, palette, viewport } = picture;
  const x = viewport.leftPx + viewport.widthPx / 2;
  const y = viewport.topPx + viewport.heightPx / 2;
  context.beginPath();
  for (const [dx, dy] of [
    [1, 0],
    [-1, 0],
    [0, 1],
    [0, -1],
  ]) {
    context.moveTo(x + 5 * dx, y + 5 * dy);
    context.lineTo(x + 16 * dx, y + 16 * dy);
  }
  strokeTwice(picture, palette.accent, 1.5);
}

/** Loupe furniture: frame, cross with a gap at the point, and a scale with a tick each 0.1 mm. */
export function drawLoupeFrame(picture: OverlayPicture, caption: string): void {
  const { context, palette, view, viewport } = picture;
  const { leftPx, topPx, widthPx, heightPx } = viewport;
  const x = leftPx + widthPx / 2;
  const y = topPx + heightPx / 2;
  context.save();
  context.beginPath();
  context.moveTo(leftPx + 10, y);
  context.lineTo(x - 10, y);
  context.moveTo(x + 10, y);
  context.lineTo(leftPx + widthPx - 10, y);
  context.moveTo(x, topPx + 10);
  context.lineTo(x, y - 10);
  context.moveTo(x, y + 10);
  context.lineTo(x, topPx + heightPx - 30);
  context.globalAlpha = 0.75;
  strokeTwice(picture, palette.etch, 1);
  context.globalAlpha = 1;
  const pxPerMm = heightPx / view.spanMm;
  const ticks = Math.max(5, Math.min(10, Math.floor((widthPx - 40) / pxPerMm) * 10));
  const from = x - (ticks * pxPerMm) / 20;
  const base = topPx + heightPx - 9;
  context.beginPath();
  for (let i = 0; i <= ticks; i++) {
    const at = from + (i * pxPerMm) / 10;
    context.moveTo(at, base);
    context.lineTo(at, base - (i % 5 === 0 ? 8 : 4));
  }
  context.moveTo(from, base);
  context.lineTo(from + (ticks * pxPerMm) / 10, base);
  strokeTwice(picture, palette.etch, 1);
  drawPill(picture, `${(ticks / 10).toFixed(1)} mm`, [x, base - 19], null);
  if (caption) drawPill(picture, caption, [x, topPx + 15], null);
  context.strokeStyle = palette.ink;
  context.globalAlpha = 0.5;
  context.lineWidth = 1;
  context.strokeRect(leftPx + 0.5, topPx + 0.5, widthPx - 1, heightPx - 1);
  context.restore();
}
