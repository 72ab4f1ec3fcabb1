import { Matrix, solve } from 'ml-matrix';
import { type ArchFrame, directionInArch, pointInArch, pointInScan } from '../arch/ArchFrame.ts';
import { hypot2, hypot3 } from '../base/hypot.ts';
import { isRight, jawOf, positionOf, quadrantOf, type Tooth } from '../base/tooth.ts';
import type { Vec2, Vec3 } from '../base/Vec3.ts';
import type { ScanMesh } from '../scan/ScanMesh.ts';
import type { CrownMap } from './findCrowns.ts';
import { type KnownTurn, rimTurn } from './rimTurn.ts';

/** How one crown lies in the arch. */
export interface CrownShape {
  readonly tooth: Tooth;
  readonly mesial: Vec2; // unit, arch frame: the crown's own direction toward mesial in the occlusal plane
  /** How far the crown is turned against the row of teeth, radians; positive counter-clockwise in the arch frame. */
  readonly turnRad: number;
  readonly turnSdRad: number;
  readonly mesialMm: Vec3; // outermost surface along ±mesial, scan frame
  readonly distalMm: Vec3;
  /** The same of the upper half of the zone in which contacts lie, where no papilla reaches. */
  readonly mesialUpperMm: Vec3;
  readonly distalUpperMm: Vec3;
  /** Where across the row each contact point is believed: most of the way from that surface to the crown's middle line. */
  readonly mesialAsideMm: Vec3; // scan frame; only its place across the row counts
  readonly distalAsideMm: Vec3;
  /** Canine: the tip; premolar: the buccal cusp; molar: the mesiobuccal cusp. Highest surface in that part, scan frame. */
  readonly cuspMm: Vec3;
  readonly edgeMm: Vec3; // highest surface at the middle of the crown's width, scan frame
  readonly heightMm: number;
}

/** Points of one crown in the arch frame with the surface each stands for. */
interface CrownPoints {
  readonly points: Float32Array; // 3 per point, mm
  readonly areas: Float32Array; // mm²
}

const COURSE_SPREAD_RAD = 0.16; // how far crowns of ordinary arches are turned; practice, no source
const TURNED_SPREAD_RAD = 0.8; // and premolars that stand turned
const TURNED_SHARE = 0.05;
const EDGE_BAND_MM = 3; // front crowns: the cutting part
const TO_MIDDLE = 0.75; // share of the way; see contactMarks in proposeMarks
const OUTER_SHARE = 0.004; // of the crown's surface, taken as its outermost part
const ROW_REACH_MM = 7;
const EDGE_MIDDLE = 0.15; // share of the half width
const LEAST_POINTS = 20;
const MIDDLE_SHARE = 0.6; // of the half depth from lips to tongue
const UPPER_SHARE = 0.5; // of the zone in which contacts lie
const LOW_SHARE = 0.3; // of the crown's height, left out next to the gum

/**
 * Where each found crown's own mesiodistal direction points and where it ends on both sides.
 *
 * Units:  mm, radians.
 */
export function crownShapes(mesh: ScanMesh, frame: ArchFrame, map: CrownMap): readonly (CrownShape | null)[] {
  const gathered = gather(mesh, frame, map);
  const seen = map.crowns.flatMap((_, i) => (gathered[i].areas.length >= LEAST_POINTS ? [i] : []));
  const directions = rowDirections(seen.map((i) => middleOf(gathered[i])));
  return map.crowns.map((crown, i) => {
    const at = seen.indexOf(i);
    return at < 0 || seen.length < 4 ? null : shapeOf(crown.tooth, gathered[i], directions[at], frame);
  });
}

function shapeOf(tooth: Tooth, crown: CrownPoints, along: Vec2, frame: ArchFrame): CrownShape {
  const { turnRad, turnSdRad } = ownTurn(tooth, crown, along);
  const [c, s] = [Math.cos(turnRad), Math.sin(turnRad)];
  const own: Vec2 = [c * along[0] - s * along[1], s * along[0] + c * along[1]];
  const mesial = towardMesial(tooth, own);
  const zs = heights(crown);
  const low = Math.max(zs.low + LOW_SHARE * (zs.high - zs.low), zs.high - contactZoneMm(tooth));
  const middleFrom = positionOf(tooth) <= 3 ? Math.max(low, zs.high - EDGE_BAND_MM) : low;
  const upper = Math.max(low, zs.high - UPPER_SHARE * contactZoneMm(tooth));
  const distal: Vec2 = [-mesial[0], -mesial[1]];
  const mesialEnd = outermost(crown, mesial, low, middleFrom);
  const distalEnd = outermost(crown, distal, low, middleFrom);
  return {
    tooth,
    mesial,
    turnRad,
    turnSdRad,
    mesialMm: pointInScan(frame, mesialEnd.pointMm),
    distalMm: pointInScan(frame, distalEnd.pointMm),
    mesialUpperMm: pointInScan(frame, outermost(crown, mesial, upper, middleFrom).pointMm),
    distalUpperMm: pointInScan(frame, outermost(crown, distal, upper, middleFrom).pointMm),
    mesialAsideMm: pointInScan(frame, mesialEnd.believedMm),
    distalAsideMm: pointInScan(frame, distalEnd.believedMm),
    cuspMm: pointInScan(
      frame,
      highestWhere(crown, (u, v) => inCuspPart(tooth, u, v), mesial, outward(own)),
    ),
    edgeMm: pointInScan(
      frame,
      highestWhere(crown, (u) => Math.abs(u) < EDGE_MIDDLE, mesial, outward(own)),
    ),
    heightMm: zs.high - zs.low,
  };
}

/** The course runs from arch −x to +x: right to left in an upper arch, left to right in a lower. */
function towardMesial(tooth: Tooth, along: Vec2): Vec2 {
  const startsRight = jawOf(tooth) === 'upper';
  const forward = isRight(tooth) === startsRight;
  return forward ? along : [-along[0], -along[1]];
}

/** Area-weighted middle of a crown, arch frame. */
function middleOf(crown: CrownPoints): Vec2 {
  let [x, y, w] = [0, 0, 0];
  for (let i = 0; i < crown.areas.length; i++) {
    x += crown.areas[i] * crown.points[3 * i];
    y += crown.areas[i] * crown.points[3 * i + 1];
    w += crown.areas[i];
  }
  return [x / w, y / w];
}

/** Direction of the row of teeth at each crown: the slope of a parabola through the crowns around it. */
function rowDirections(middles: readonly Vec2[]): readonly Vec2[] {
  const travelled = [0];
  for (let i = 1; i < middles.length; i++) {
    const [a, b] = [middles[i - 1], middles[i]];
    travelled.push(travelled[i - 1] + hypot2(b[0] - a[0], b[1] - a[1]));
  }
  return middles.map((_, i): Vec2 => {
    const rows = middles.map((m, k) => {
      const d = travelled[k] - travelled[i];
      return { d, m, w: Math.exp(-0.5 * (d / ROW_REACH_MM) ** 2) };
    });
    const normal = Matrix.zeros(3, 3);
    const right = Matrix.zeros(3, 2);
    for (const { d, m, w } of rows) {
      const powers = [1, d, d * d];
      for (let a = 0; a < 3; a++) {
        for (let b = 0; b < 3; b++) normal.set(a, b, normal.get(a, b) + w * powers[a] * powers[b]);
        for (let k = 0; k < 2; k++) right.set(a, k, right.get(a, k) + w * powers[a] * m[k]);
      }
    }
    const slope = solve(normal, right).getRow(1);
    const l = Math.hypot(slope[0], slope[1]);
    return [slope[0] / l, slope[1] / l];
  });
}

type OwnTurn = Pick<CrownShape, 'turnRad' | 'turnSdRad'>;

/**
 * The crown's own turn: the long axis of the cutting edge in front, of the short axis of the crown behind,
 * held toward the course the more, the rounder the crown is; of a premolar by its cusps.
 */
function ownTurn(tooth: Tooth, crown: CrownPoints, along: Vec2): OwnTurn {
  const front = positionOf(tooth) <= 3;
  const { high, low } = heights(crown);
  const from = front ? Math.max(high - EDGE_BAND_MM, low) : low + 0.35 * (high - low);
  const { angle, ratio } = longAxis(crown, from);
  const lengthwise = front || (jawOf(tooth) === 'lower' && positionOf(tooth) >= 6);
  const axis = lengthwise ? angle : angle + Math.PI / 2;
  const raw = wrapped(axis - Math.atan2(along[1], along[0]));
  // A nearly round outline says little about direction: its SD grows as the two axes come together.
  const outline = { turnRad: raw, sdRad: 0.09 / Math.max(0.05, Math.min(1, ratio - 1)) };
  if (!isPremolar(tooth)) return heldToRow(outline, COURSE_SPREAD_RAD);
  const rim = rimTurn(crown.points, outward(along), jawOf(tooth) === 'lower');
  return premolarTurn(rim.sdRad < outline.sdRad ? rim : outline);
}

const isPremolar = (tooth: Tooth): boolean =>
  quadrantOf(tooth) <= 4 && (positionOf(tooth) === 4 || positionOf(tooth) === 5);

const heldToRow = ({ turnRad, sdRad }: KnownTurn, spreadRad: number): OwnTurn => {
  const trust = spreadRad ** 2 / (spreadRad ** 2 + sdRad ** 2);
  return { turnRad: trust * turnRad, turnSdRad: Math.sqrt(trust) * sdRad };
};

/**
 * Premolars stand as other crowns do, or, one in twenty (practice, no source), turned by any angle: what is seen of a
 * turn tells which of the two it is, and how far each is to be believed.
 */
function premolarTurn(seen: KnownTurn): OwnTurn {
  const [ordinary, turned] = [heldToRow(seen, COURSE_SPREAD_RAD), heldToRow(seen, TURNED_SPREAD_RAD)];
  const likelihood = (spreadRad: number): number => {
    const variance = spreadRad ** 2 + seen.sdRad ** 2;
    return Math.exp((-0.5 * seen.turnRad ** 2) / variance) / Math.sqrt(variance);
  };
  const [a, b] = [
    (1 - TURNED_SHARE) * likelihood(COURSE_SPREAD_RAD),
    TURNED_SHARE * likelihood(TURNED_SPREAD_RAD),
  ];
  const chance = b / (a + b);
  const mixed = (x: number, y: number): number => (1 - chance) * x + chance * y;
  const apart = chance * (1 - chance) * (turned.turnRad - ordinary.turnRad) ** 2;
  return {
    turnRad: mixed(ordinary.turnRad, turned.turnRad),
    turnSdRad: Math.sqrt(mixed(ordinary.turnSdRad ** 2, turned.turnSdRad ** 2) + apart),
  };
}

/** Long axis of the outline above a height, and how much longer it is than the short one. */
function longAxis(crown: CrownPoints, fromMm: number): { angle: number; ratio: number } {
  let [w, mx, my] = [0, 0, 0];
  const inside: number[] = [];
  for (let i = 0; i < crown.areas.length; i++) {
    if (crown.points[3 * i + 2] < fromMm) continue;
    inside.push(i);
    w += crown.areas[i];
    mx += crown.areas[i] * crown.points[3 * i];
    my += crown.areas[i] * crown.points[3 * i + 1];
  }
  mx /= w;
  my /= w;
  let [xx, xy, yy] = [0, 0, 0];
  for (const i of inside) {
    const dx = crown.points[3 * i] - mx;
    const dy = crown.points[3 * i + 1] - my;
    xx += crown.areas[i] * dx * dx;
    xy += crown.areas[i] * dx * dy;
    yy += crown.areas[i] * dy * dy;
  }
  const mid = (xx + yy) / 2;
  const half = Math.hypot((xx - yy) / 2, xy);
  return {
    angle: 0.5 * Math.atan2(2 * xy, xx - yy),
    ratio: Math.sqrt((mid + half) / Math.max(mid - half, 1e-9)),
  };
}

/** An axis angle to (−π/2, π/2]. */
const wrapped = (angle: number): number => angle - Math.PI * Math.round(angle / Math.PI);

/**
 * Mean of the outermost share of the crown's surface along a direction, above a height and near its middle line.
 * It is believed to lie nearer the middle line of the part above `middleFromMm`: the tongue side of a front crown,
 * and gum taken for crown, would draw that line inward.
 */
function outermost(
  crown: CrownPoints,
  direction: Vec2,
  fromMm: number,
  middleFromMm: number,
): { pointMm: Vec3; believedMm: Vec3 } {
  const aside = (i: number) => crown.points[3 * i + 1] * direction[0] - crown.points[3 * i] * direction[1];
  const above = (z: number) => {
    const out: number[] = [];
    for (let i = 0; i < crown.areas.length; i++) if (crown.points[3 * i + 2] >= z) out.push(i);
    return out;
  };
  const inZone = above(fromMm);
  const zone = extentOf(inZone, aside);
  const nearMiddle = inZone.filter((i) => Math.abs(aside(i) - zone.middle) <= MIDDLE_SHARE * zone.half);
  const order = nearMiddle
    .map((i) => ({ reach: crown.points[3 * i] * direction[0] + crown.points[3 * i + 1] * direction[1], i }))
    .sort((a, b) => b.reach - a.reach);
  const enough = OUTER_SHARE * crown.areas.reduce((sum, a) => sum + a, 0);
  let [x, y, z, w] = [0, 0, 0, 0];
  for (const { i } of order) {
    x += crown.areas[i] * crown.points[3 * i];
    y += crown.areas[i] * crown.points[3 * i + 1];
    z += crown.areas[i] * crown.points[3 * i + 2];
    w += crown.areas[i];
    if (w > enough) break;
  }
  const pointMm: Vec3 = [x / w, y / w, z / w];
  const asideMm = pointMm[1] * direction[0] - pointMm[0] * direction[1];
  const offMm = TO_MIDDLE * (extentOf(above(middleFromMm), aside).middle - asideMm);
  const believedMm: Vec3 = [pointMm[0] - direction[1] * offMm, pointMm[1] + direction[0] * offMm, pointMm[2]];
  return { pointMm, believedMm };
}

/** Middle and half of what points reach, without the outermost two hundredths on either side. */
function extentOf(points: readonly number[], reach: (i: number) => number): { middle: number; half: number } {
  const sorted = Float32Array.from(points, reach).sort();
  const low = sorted[Math.floor(0.02 * (sorted.length - 1))];
  const high = sorted[Math.floor(0.98 * (sorted.length - 1))];
  return { middle: (low + high) / 2, half: (high - low) / 2 };
}

function heights(crown: CrownPoints): { high: number; low: number } {
  let [high, low] = [-Infinity, Infinity];
  for (let i = 0; i < crown.areas.length; i++) {
    const z = crown.points[3 * i + 2];
    if (z > high) high = z;
    if (z < low) low = z;
  }
  return { high, low };
}

/** Contacts lie within this of the crown's top; common practice, no source. */
const contactZoneMm = (tooth: Tooth): number => (positionOf(tooth) <= 2 ? 3.5 : 4.5);

/** Outward of the row of teeth: the course runs with the lips and cheeks on its left. */
const outward = (along: Vec2): Vec2 => [-along[1], along[0]];

/** Which part of a crown carries the cusp asked for; u toward mesial, v outward, both as shares of the half extents. */
function inCuspPart(tooth: Tooth, u: number, v: number): boolean {
  if (positionOf(tooth) <= 3) return true;
  if (positionOf(tooth) <= 5) return v > 0;
  return v > 0 && u > 0;
}

/** Highest surface point of the part that a rule over (u, v) picks. */
function highestWhere(
  crown: CrownPoints,
  rule: (u: number, v: number) => boolean,
  mesial: Vec2,
  out: Vec2,
): Vec3 {
  const across = (i: number, axis: Vec2) => crown.points[3 * i] * axis[0] + crown.points[3 * i + 1] * axis[1];
  const extent = (axis: Vec2) => {
    let [low, high] = [Infinity, -Infinity];
    for (let i = 0; i < crown.areas.length; i++) {
      low = Math.min(low, across(i, axis));
      high = Math.max(high, across(i, axis));
    }
    return { middle: (low + high) / 2, half: Math.max(1e-6, (high - low) / 2) };
  };
  const eu = extent(mesial);
  const ev = extent(out);
  let best = 0;
  let z = -Infinity;
  for (let i = 0; i < crown.areas.length; i++) {
    if (crown.points[3 * i + 2] <= z) continue;
    if (!rule((across(i, mesial) - eu.middle) / eu.half, (across(i, out) - ev.middle) / ev.half)) continue;
    z = crown.points[3 * i + 2];
    best = i;
  }
  return [crown.points[3 * best], crown.points[3 * best + 1], crown.points[3 * best + 2]];
}

function gather(mesh: ScanMesh, frame: ArchFrame, map: CrownMap): readonly CrownPoints[] {
  const { positions, indices } = mesh;
  const lists = map.crowns.map((): { points: number[]; areas: number[]; slot: Map<number, number> } => ({
    points: [],
    areas: [],
    slot: new Map(),
  }));
  for (let f = 0; f < map.faceCrown.length; f++) {
    if (map.faceCrown[f] === 0) continue;
    const list = lists[map.faceCrown[f] - 1];
    const corner0 = vertexAt(positions, indices[3 * f]);
    const u = directionInArch(frame, difference(vertexAt(positions, indices[3 * f + 1]), corner0));
    const w = directionInArch(frame, difference(vertexAt(positions, indices[3 * f + 2]), corner0));
    const third = hypot3(u[1] * w[2] - u[2] * w[1], u[2] * w[0] - u[0] * w[2], u[0] * w[1] - u[1] * w[0]) / 6;
    for (let k = 0; k < 3; k++) {
      const v = indices[3 * f + k];
      let at = list.slot.get(v);
      if (at === undefined) {
        at = list.areas.length;
        list.slot.set(v, at);
        list.areas.push(0);
        const [x, y, z] = pointInArch(frame, vertexAt(positions, v));
        list.points.push(x, y, z);
      }
      list.areas[at] += third;
    }
  }
  return lists.map(({ points, areas }) => ({
    points: Float32Array.from(points),
    areas: Float32Array.from(areas),
  }));
}

const vertexAt = (positions: Float32Array, v: number): Vec3 => [
  positions[3 * v],
  positions[3 * v + 1],
  positions[3 * v + 2],
];

const difference = (a: Vec3, b: Vec3): Vec3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
