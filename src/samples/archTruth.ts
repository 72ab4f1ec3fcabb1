import {
  contactsOf,
  isRight,
  type Jaw,
  positionOf,
  quadrantOf,
  siteFacing,
  type Tooth,
} from '../core/base/tooth.ts';
import type { Vec3 } from '../core/base/Vec3.ts';
import type { FullRecipe } from './ArchRecipe.ts';
import { type Arrangement, successorWidths } from './arrangeTeeth.ts';
import { surfaceGap } from './crownGap.ts';
import { lineDirection } from './lineDirection.ts';
import type { PlacedCrown } from './PlacedCrown.ts';
import { type Pose, posed, turned } from './Pose.ts';
import type { ContactTruth, SampleTruth, ToothTruth } from './sampleTruth.ts';

const flat = (a: Vec3, b: Vec3): number => Math.hypot(a[0] - b[0], a[1] - b[1]);
const middle = (a: Vec3, b: Vec3): Vec3 => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2];

/** Everything true of an arrangement, as defined in sampleTruth.ts; points in the scan frame, rounded to 1e-6 mm. */
export function archTruth(
  recipe: FullRecipe,
  arrangement: Arrangement,
  pose: Pose,
  name: string | null,
): SampleTruth {
  const { curve, teeth, lineLengthMm, requiredMm, outsideMm } = arrangement;
  const byTooth = new Map<Tooth, PlacedCrown>(teeth.map((p) => [p.tooth, p]));
  const site = (p: PlacedCrown, neighbour: Tooth): Vec3 =>
    siteFacing(p.tooth, neighbour) === 'mesial' ? p.mesialMm : p.distalMm;
  const of = (position: number): readonly [PlacedCrown, PlacedCrown] | null => {
    const pair = teeth.filter((p) => positionOf(p.tooth) === position);
    return pair.length === 2 ? [pair[0], pair[1]] : null; // low s, high s
  };

  const contacts = contactsOf(teeth.map((p) => p.tooth)).map(([a, b]): ContactTruth => {
    const [pa, pb] = [byTooth.get(a)!, byTooth.get(b)!];
    const [ca, cb] = [site(pa, b), site(pb, a)];
    const [low, high] = teeth.indexOf(pa) < teeth.indexOf(pb) ? [ca, cb] : [cb, ca];
    const along = lineDirection(curve, middle(ca, cb));
    return {
      teeth: [a, b],
      separationMm: round(Math.min(surfaceGap(pa, pb), surfaceGap(pb, pa))),
      displacementMm: round(flat(ca, cb)),
      alongArchMm: round((high[0] - low[0]) * along[0] + (high[1] - low[1]) * along[1]),
    };
  });

  const front = contacts.filter((c) => c.teeth.every((t) => positionOf(t) <= 3));
  const [sixes, threes, ones] = [of(6), of(3), of(1)];
  const midline = ones && middle(ones[0].mesialMm, ones[1].mesialMm);
  const segments = (points: (p: PlacedCrown) => readonly Vec3[]): number | null => {
    if (!sixes || !threes || !midline) return null;
    return [0, 1].reduce((sum, side) => {
      const chain = [sixes[side].mesialMm, ...points(threes[side]), midline];
      return sum + chain.slice(1).reduce((s, p, i) => s + flat(p, chain[i]), 0);
    }, 0);
  };
  const molars = sixes && middle(sixes[0].mesialMm, sixes[1].mesialMm);
  const across = (pair: readonly [PlacedCrown, PlacedCrown] | null): number | null =>
    pair && round(flat(pair[0].toArch(pair[0].crown.cuspTip()), pair[1].toArch(pair[1].crown.cuspTip())));
  const turnOf = () => {
    const [a, b] = [curve.direction(-lineLengthMm / 2), curve.direction(lineLengthMm / 2)];
    return Math.acos(a[0] * b[0] + a[1] * b[1]);
  };
  const orNull = (x: number | null) => (x === null ? null : round(x));

  const successors = successorWidths(recipe).map((s) => ({ ...s, widthMm: round(s.widthMm) }));
  const standing = teeth.filter((p) => quadrantOf(p.tooth) > 4);
  const neededMm =
    requiredMm +
    successors.reduce((sum, s) => sum + s.widthMm, 0) -
    standing.reduce((sum, p) => sum + p.crown.mesialMm[0] - p.crown.distalMm[0], 0);

  return {
    schema: 'archledger-sample-truth@1',
    name,
    jaw: recipe.jaw,
    recipe,
    frame: { originMm: roundAll(posed(pose, [0, 0, 0])), occlusal: pose.z, forward: pose.y },
    teeth: [...teeth]
      .sort((a, b) => a.tooth - b.tooth)
      .map((p): ToothTruth => {
        const incisor = positionOf(p.tooth) <= 2;
        return {
          tooth: p.tooth,
          widthMm: round(p.crown.mesialMm[0] - p.crown.distalMm[0]),
          mesialMm: roundAll(posed(pose, p.mesialMm)),
          distalMm: roundAll(posed(pose, p.distalMm)),
          cuspMm: incisor ? null : roundAll(posed(pose, p.toArch(p.crown.cuspTip()))),
          incisalMm: incisor ? roundAll(posed(pose, p.toArch(p.crown.incisalMiddle()))) : null,
          mesiodistalAxis: turned(pose, p.u),
        };
      }),
    contacts,
    ...(successors.length > 0 ? { successors } : {}),
    arch: {
      lineLengthMm: round(lineLengthMm),
      outsideMm: round(outsideMm),
      contactLineLengthMm: round(lineLengthMm + turnOf() * outsideMm),
      irregularityMm: front.length === 5 ? round(front.reduce((s, c) => s + c.displacementMm, 0)) : null,
      depthMm: orNull(midline && molars && midline[1] - molars[1]),
      intercanineMm: across(threes),
      intermolarMm: across(sixes),
      fourSegmentsMm: orNull(segments((p) => [p.mesialMm])),
      speeMm: speeDepths(recipe.jaw, teeth),
      sixSegmentsMm: orNull(segments((p) => [p.distalMm, p.mesialMm])),
    },
    space: {
      availableMm: round(lineLengthMm),
      requiredMm: round(neededMm),
      differenceMm: round(lineLengthMm - neededMm),
    },
  };
}

const round = (x: number): number => Math.round(x * 1e6) / 1e6;
const roundAll = (p: Vec3): Vec3 => [round(p[0]), round(p[1]), round(p[2])];

/** As defined in sampleTruth.ts, in the arch frame. */
function speeDepths(jaw: Jaw, teeth: readonly PlacedCrown[]): { right: number; left: number } | null {
  const cusps = (position: number) =>
    teeth.filter((p) => positionOf(p.tooth) === position).map((p) => p.toArch(p.crown.cuspTip()));
  const edges = teeth.filter((p) => positionOf(p.tooth) === 1).map((p) => p.toArch(p.crown.incisalMiddle()));
  const ends = [cusps(7), cusps(6)].find((list) => list.length === 2);
  if (edges.length !== 2 || !ends) return null;
  const [o, a, b] = [middle(edges[0], edges[1]), ends[0], ends[1]];
  const [p, q] = [a, b].map((e) => [e[0] - o[0], e[1] - o[1], e[2] - o[2]]);
  const n = [p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0]];
  const size = Math.hypot(n[0], n[1], n[2]) * Math.sign(n[2]);
  const below = jaw === 'lower' ? -1 : 1;
  const side = (right: boolean) =>
    teeth
      .filter((t) => isRight(t.tooth) === right && positionOf(t.tooth) >= 3 && positionOf(t.tooth) <= 6)
      .map((t) => t.toArch(t.crown.cuspTip()))
      .map((c) => (below * ((c[0] - o[0]) * n[0] + (c[1] - o[1]) * n[1] + (c[2] - o[2]) * n[2])) / size)
      .reduce((most, d) => Math.max(most, d), 0);
  return { right: round(side(true)), left: round(side(false)) };
}
