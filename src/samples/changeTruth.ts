import { type Contact, type Jaw, siteFacing, type Tooth } from '../core/base/tooth.ts';
import type { Vec3 } from '../core/base/Vec3.ts';
import type { ArchChange } from './ArchChange.ts';
import type { Arrangement } from './arrangeTeeth.ts';
import { goneByTooth } from './changeTeeth.ts';
import { lineDirection } from './lineDirection.ts';
import type { PlacedCrown } from './PlacedCrown.ts';
import { type Pose, posed, turned } from './Pose.ts';
import { composed, inverse, type Rigid, rotationVector } from './rigid.ts';
import type { SampleTruth } from './sampleTruth.ts';

/**
 * What exactly changed between two generated scans of one arch. Points and motions in the earlier scan's
 * frame; the molars stand still, so that frame is the later arch's too. Nothing that measures may read it.
 */
export interface ChangeTruth {
  readonly schema: 'archledger-sample-change@1';
  readonly earlier: string | null; // names of the two samples
  readonly later: string | null;
  readonly jaw: Jaw;
  readonly change: ArchChange;
  /** Lays the later scan over the earlier one with the molars together. */
  readonly laterToEarlier: Rigid;
  readonly teeth: readonly ToothChangeTruth[];
  readonly contacts: readonly ContactChangeTruth[];
}

export interface ToothChangeTruth {
  readonly tooth: Tooth;
  readonly enamelGoneMm: readonly [mesial: number, distal: number]; // depth along the crown's mesiodistal axis
  readonly widthBeforeMm: number;
  readonly widthAfterMm: number;
  /** Takes every point of the earlier crown to where it is on the later arch. */
  readonly motion: Rigid;
  readonly centreMm: Vec3; // midway between the earlier crown's contact points, half way down to its cervix
  /** Movement of the centre: along the arch (positive distal), outward, out of the gum. */
  readonly movedMm: Vec3;
  /** Rotation vector by the right-hand rule about z out of the gum, the distal and the outward direction. */
  readonly turnedRad: Vec3;
  /** Those directions: along the arch line toward distal, outward; out of the gum is the frame's. */
  readonly distal: Vec3;
  readonly outward: Vec3;
}

export interface ContactChangeTruth {
  readonly teeth: Contact;
  readonly separationBeforeMm: number;
  readonly separationAfterMm: number;
  readonly enamelGoneMm: number;
}

/** The motion of a crown from one place to another, in the arch frame. */
function crownMotion(from: PlacedCrown, to: PlacedCrown): Rigid {
  const [f, t] = [
    [from.u, from.v, from.w],
    [to.u, to.v, to.w],
  ];
  const rotation = [0, 1, 2].flatMap((i) =>
    [0, 1, 2].map((j) => f.reduce((sum, axis, k) => sum + t[k][i] * axis[j], 0)),
  );
  const o = from.originMm;
  const translationMm = [0, 1, 2].map(
    (i) =>
      to.originMm[i] - (rotation[i * 3] * o[0] + rotation[i * 3 + 1] * o[1] + rotation[i * 3 + 2] * o[2]),
  ) as unknown as Vec3;
  return { rotation, translationMm };
}

const rigidOf = ({ x, y, z, originMm }: Pose): Rigid => ({
  rotation: [0, 1, 2].flatMap((i) => [x[i], y[i], z[i]]),
  translationMm: originMm,
});

interface ChangedArch {
  readonly arrangement: Arrangement;
  readonly pose: Pose;
  readonly truth: SampleTruth;
}

/** Everything true of a change, as defined above. */
export function changeTruth(before: ChangedArch, after: ChangedArch, change: ArchChange): ChangeTruth {
  const { curve, teeth } = before.arrangement;
  const { pose } = before;
  const names = teeth.map((p) => p.tooth);
  const gone = goneByTooth(names, change);
  const out = rigidOf(pose);
  const goneAt = (tooth: Tooth, neighbour: Tooth): number =>
    gone.get(tooth)![siteFacing(tooth, neighbour) === 'mesial' ? 0 : 1];
  return {
    schema: 'archledger-sample-change@1',
    earlier: before.truth.name,
    later: after.truth.name,
    jaw: before.truth.jaw,
    change,
    laterToEarlier: composed(out, inverse(rigidOf(after.pose))),
    teeth: [...teeth]
      .sort((a, b) => a.tooth - b.tooth)
      .map((from): ToothChangeTruth => {
        const to = after.arrangement.teeth[names.indexOf(from.tooth)];
        const { mesialMm: m, distalMm: d } = from.crown;
        const half: Vec3 = [(m[0] + d[0]) / 2, (m[1] + d[1]) / 2, (m[2] + d[2]) / 4];
        const moved = to.toArch(half).map((x, k) => x - from.toArch(half)[k]);
        const [growX, growY] = lineDirection(curve, from.toArch(half));
        const sign = from.stand.alongSign;
        const [distalX, distalY] = [-sign * growX, -sign * growY];
        const inArch = crownMotion(from, to);
        const turn = rotationVector(inArch.rotation);
        // growing s runs clockwise round the arch seen from above, so outward lies to its left
        return {
          tooth: from.tooth,
          enamelGoneMm: gone.get(from.tooth)!,
          widthBeforeMm: m[0] - d[0],
          widthAfterMm: to.crown.mesialMm[0] - to.crown.distalMm[0],
          motion: composed(composed(out, inArch), inverse(out)),
          centreMm: posed(pose, from.toArch(half)),
          movedMm: [moved[0] * distalX + moved[1] * distalY, -moved[0] * growY + moved[1] * growX, moved[2]],
          turnedRad: [turn[2], turn[0] * distalX + turn[1] * distalY, -turn[0] * growY + turn[1] * growX],
          distal: turned(pose, [distalX, distalY, 0]),
          outward: turned(pose, [-growY, growX, 0]),
        };
      }),
    contacts: before.truth.contacts.map(({ teeth: [a, b], separationMm }): ContactChangeTruth => {
      const later = after.truth.contacts.find((c) => c.teeth[0] === a && c.teeth[1] === b)!;
      return {
        teeth: [a, b],
        separationBeforeMm: separationMm,
        separationAfterMm: later.separationMm,
        enamelGoneMm: goneAt(a, b) + goneAt(b, a),
      };
    }),
  };
}
