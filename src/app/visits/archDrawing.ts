import { pointInOcclusalPlane } from '../../core/arch/ArchFrame.ts';
import { type Contact, type Jaw, jawOf, positionOf, type Tooth } from '../../core/base/tooth.ts';
import type { Vec2 } from '../../core/base/Vec3.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';

/** A crown as it is drawn from above: width and place measured, depth and outline schematic. Units: mm, y down. */
export interface DrawnTooth {
  readonly tooth: Tooth;
  readonly outline: readonly Vec2[];
  readonly middle: Vec2;
}

/** A contact with the direction in which there is room for its words. */
export interface DrawnContact {
  readonly teeth: Contact;
  readonly at: Vec2;
  readonly outward: Vec2; // unit
}

export interface ArchDrawing {
  readonly teeth: readonly DrawnTooth[];
  readonly contacts: readonly DrawnContact[];
}

/** Depth of a crown from cheek to tongue ÷ its width; for the drawing only (textbook proportions, from memory, unverified). */
const DEPTH_RATIO: Readonly<Record<Jaw, readonly number[]>> = {
  upper: [0.82, 0.92, 1.07, 1.28, 1.3, 1.1, 1.1, 1.1],
  lower: [1.1, 1.05, 1.1, 1.1, 1.12, 0.95, 0.95, 0.95],
};

/** Contact points lie nearer the cheek: how far the middle of a crown stands inward of them, of its depth. */
const INWARD = 0.12;
const CORNERS = 40;
const SQUARENESS = 2.8; // exponent of the outline, between an ellipse (2) and a block

/**
 * The arch from above as the dentist sees it: the patient's right on the left, an upper arch with its front up, a
 * lower one with its front down. To scale in mm; a tooth without both contact points is not drawn.
 */
export function archDrawing(measures: ArchMeasures): ArchDrawing {
  const { frame, jaw } = measures;
  // The arch frame's x is the patient's right in a lower arch and left in an upper; its y is forward.
  const onPaper = (point: readonly [number, number, number]): Vec2 => {
    const [x, y] = pointInOcclusalPlane(frame, point);
    return jaw === 'lower' ? [-x, y] : [x, -y];
  };
  const ends = new Map<Tooth, { mesial: Vec2; distal: Vec2 }>();
  for (const { tooth, mesialMm, distalMm } of measures.teeth)
    if (mesialMm && distalMm) ends.set(tooth, { mesial: onPaper(mesialMm), distal: onPaper(distalMm) });
  const all = [...ends.values()].flatMap(({ mesial, distal }) => [mesial, distal]);
  if (all.length === 0) return { teeth: [], contacts: [] };
  const inside: Vec2 = [mean(all.map(([x]) => x)), mean(all.map(([, y]) => y))];
  const away = (from: Vec2, along: Vec2): Vec2 => {
    const normal: Vec2 = [-along[1], along[0]];
    const isOut = normal[0] * (from[0] - inside[0]) + normal[1] * (from[1] - inside[1]) > 0;
    return isOut ? normal : [along[1], -along[0]];
  };
  const teeth = [...ends].map(([tooth, { mesial, distal }]): DrawnTooth => {
    const across: Vec2 = [distal[0] - mesial[0], distal[1] - mesial[1]];
    const widthMm = Math.hypot(...across);
    const along: Vec2 = [across[0] / widthMm, across[1] / widthMm];
    const centre: Vec2 = [(mesial[0] + distal[0]) / 2, (mesial[1] + distal[1]) / 2];
    const out = away(centre, along);
    const depthMm = widthMm * (DEPTH_RATIO[jawOf(tooth)][positionOf(tooth) - 1] ?? 1);
    const middle: Vec2 = [centre[0] - out[0] * INWARD * depthMm, centre[1] - out[1] * INWARD * depthMm];
    return { tooth, middle, outline: outlineOf(middle, along, out, widthMm / 2, depthMm / 2) };
  });
  const contacts = measures.contacts.flatMap(({ teeth: pair, pointsMm }): DrawnContact[] => {
    const [a, b] = [teeth.find((t) => t.tooth === pair[0]), teeth.find((t) => t.tooth === pair[1])];
    if (!pointsMm || !a || !b) return [];
    const [p, q] = pointsMm.map(onPaper);
    const at: Vec2 = [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
    const between: Vec2 = [b.middle[0] - a.middle[0], b.middle[1] - a.middle[1]];
    const size = Math.hypot(...between) || 1;
    return [{ teeth: pair, at, outward: away(at, [between[0] / size, between[1] / size]) }];
  });
  return { teeth, contacts };
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length;

/** A rounded block that touches both contact points. */
function outlineOf(
  [x, y]: Vec2,
  along: Vec2,
  out: Vec2,
  halfWidth: number,
  halfDepth: number,
): readonly Vec2[] {
  return Array.from({ length: CORNERS }, (_, i): Vec2 => {
    const angle = (2 * Math.PI * i) / CORNERS;
    const round = (value: number): number => Math.sign(value) * Math.abs(value) ** (2 / SQUARENESS);
    const [u, v] = [halfWidth * round(Math.cos(angle)), halfDepth * round(Math.sin(angle))];
    return [x + along[0] * u + out[0] * v, y + along[1] * u + out[1] * v];
  });
}

/** Where the words of a contact stand, with what a label takes of the paper. Units: mm. */
export interface LabelPlace {
  readonly contact: DrawnContact;
  readonly middle: Vec2;
}

/** Half the size of a label and of the space round it. */
export const LABEL_MM = { halfWidth: 5.4, above: 3.4, below: 7.4 };
const GAP_MM = 1.2;
const AWAY_MM = 6; // from the crowns to the nearest label

/**
 * Labels in a row before the front teeth and in a column on each side, in the order of their contacts, so that none
 * covers another or a tooth.
 */
export function labelPlaces(
  jaw: Jaw,
  teeth: readonly DrawnTooth[],
  contacts: readonly DrawnContact[],
): readonly LabelPlace[] {
  const points = teeth.flatMap((tooth) => tooth.outline);
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const isFront = ({ teeth: [a, b] }: DrawnContact): boolean => Math.max(positionOf(a), positionOf(b)) <= 3;
  const height = LABEL_MM.above + LABEL_MM.below + GAP_MM;
  const width = 2 * LABEL_MM.halfWidth + GAP_MM;
  const front = spread(
    contacts.filter(isFront).map((contact) => ({ contact, wish: contact.at[0] })),
    width,
  ).map(({ contact, at }): LabelPlace => {
    const y =
      jaw === 'lower'
        ? Math.max(...ys) + AWAY_MM + LABEL_MM.above
        : Math.min(...ys) - AWAY_MM - LABEL_MM.below;
    return { contact, middle: [at, y] };
  });
  const centre = mean(xs);
  const side = (isLeft: boolean): readonly LabelPlace[] =>
    spread(
      contacts
        .filter((contact) => !isFront(contact) && contact.at[0] < centre === isLeft)
        .map((contact) => ({ contact, wish: contact.at[1] })),
      height,
    ).map(({ contact, at }) => ({
      contact,
      middle: [
        isLeft
          ? Math.min(...xs) - AWAY_MM - LABEL_MM.halfWidth
          : Math.max(...xs) + AWAY_MM + LABEL_MM.halfWidth,
        at,
      ],
    }));
  return [...side(true), ...front, ...side(false)];
}

/** Places along a line in the order of the wishes, no two nearer than `apart`, in the middle where the wishes are. */
function spread(
  wishes: readonly { readonly contact: DrawnContact; readonly wish: number }[],
  apart: number,
): readonly { readonly contact: DrawnContact; readonly at: number }[] {
  const ordered = [...wishes].sort((a, b) => a.wish - b.wish);
  const places = ordered.map(({ wish }) => wish);
  for (let i = 1; i < places.length; i++) places[i] = Math.max(places[i], places[i - 1] + apart);
  const shift = mean(ordered.map(({ wish }, i) => wish - places[i]));
  return ordered.map(({ contact }, i) => ({ contact, at: places[i] + (Number.isFinite(shift) ? shift : 0) }));
}
