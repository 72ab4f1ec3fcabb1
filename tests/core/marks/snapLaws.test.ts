import { describe, expect, it } from 'vitest';
import { archFrame } from '../../../src/core/arch/ArchFrame.ts';
import { distance, type Vec3 } from '../../../src/core/base/Vec3.ts';
import { contactPoints } from '../../../src/core/crowns/contactPoints.ts';
import { snapToAnatomy } from '../../../src/core/marks/snapToAnatomy.ts';
import { snapTooth } from '../../../src/core/marks/snapTooth.ts';
import type { ScanMesh } from '../../../src/core/scan/ScanMesh.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { makeArch } from '../../../src/samples/makeArch.ts';
import { makeMesh, makeSphere } from '../../support/meshes.ts';
import { makeTurn, mirroredMesh, movedMesh, shuffledFaces, turned } from '../../support/moveMesh.ts';
import { makeRandom } from '../../support/random.ts';

const BELIEFS = {
  turnRad: 0,
  turnSdRad: 0.15,
  tiltSdRad: 0.04,
  slopeSd: 0.1,
  seenRiseSd: 0.02,
  hiddenRiseSd: 0.15,
  facingSd: 0.15,
};

/** Ellipsoids of half axes (3, 4, 3.5) in a row along x, touching where asked. */
function ellipsoids(centres: readonly number[]): ScanMesh {
  const ball = makeSphere(1, 5);
  const positions: number[] = [];
  const faces: number[] = [];
  for (const c of centres) {
    const base = positions.length / 3;
    for (let i = 0; i < ball.positions.length; i += 3)
      positions.push(c + 3 * ball.positions[i], 4 * ball.positions[i + 1], 3.5 * ball.positions[i + 2]);
    for (const v of ball.indices) faces.push(base + v);
  }
  return makeMesh(positions, faces);
}

describe('contact points of known shapes', () => {
  it.each([
    ['alone', [0]],
    ['between two that touch it', [-6, 0, 6]],
    ['between two with gaps of 0.3 mm', [-6.3, 0, 6.3]],
  ])('an ellipsoid %s: its outermost points, from clicks 0.5 mm off', (_, centres) => {
    const index = surfaceIndex(ellipsoids(centres));
    const clicks = [
      [2.96, 0.5, 0.1],
      [-2.94, -0.3, 0.4],
    ] as Vec3[];
    const found = contactPoints(
      index,
      clicks.map((c) => ({ pointMm: index.closestPoint(c)!.pointMm, placeSdMm: 0.35 })),
      [1, 0, 0],
      [0, 0, 1],
      BELIEFS,
    );
    // Along the axis to 0.05 mm: the wall's sag over the half of the click's offset that a click keeps.
    expect(Math.abs(found[0]!.pointMm[0] - 3)).toBeLessThan(0.05);
    expect(Math.abs(found[1]!.pointMm[0] + 3)).toBeLessThan(0.05);
    expect(Math.abs(distance(found[0]!.pointMm, found[1]!.pointMm) - 6)).toBeLessThan(0.08);
  });
});

describe('laws of snapping', () => {
  const arch = makeArch({ jaw: 'lower', seed: 91, crowdingMm: 3, triangles: 40_000 });
  const mesh = makeMesh(arch.mesh.positions, arch.mesh.indices);
  const { frame: truth, teeth } = arch.truth;
  const frame = archFrame(truth.originMm, truth.occlusal, truth.forward);
  const index = surfaceIndex(mesh);
  const some = teeth.filter((t) => [31, 33, 35, 36, 41, 42, 44, 46].includes(t.tooth));
  const clicks = some.map((t) => ({
    tooth: t.tooth,
    mesialMm: index.closestPoint([t.mesialMm[0] + 0.2, t.mesialMm[1] - 0.2, t.mesialMm[2] + 0.3])!.pointMm,
    distalMm: index.closestPoint([t.distalMm[0] - 0.3, t.distalMm[1] + 0.1, t.distalMm[2] - 0.2])!.pointMm,
  }));
  const snapAll = (on: ReturnType<typeof surfaceIndex>, inFrame: typeof frame, list: typeof clicks) =>
    list.map((c) => snapTooth({ index: on, frame: inFrame, ...c }));

  it('the points move with the scan, whatever the order of its faces', () => {
    const random = makeRandom(3);
    const turn = makeTurn(random);
    const shift: Vec3 = [40, -20, 75];
    const to = (p: Vec3): Vec3 => {
      const q = turned(turn, p);
      return [q[0] + shift[0], q[1] + shift[1], q[2] + shift[2]];
    };
    const moved = surfaceIndex(shuffledFaces(movedMesh(mesh, turn, shift), random));
    const movedFrame = archFrame(
      to(frame.originMm),
      turned(turn, frame.occlusal),
      turned(turn, frame.forward),
    );
    const here = snapAll(index, frame, clicks);
    const there = snapAll(
      moved,
      movedFrame,
      clicks.map((c) => ({ tooth: c.tooth, mesialMm: to(c.mesialMm), distalMm: to(c.distalMm) })),
    );
    here.forEach((pair, i) => {
      expect(distance(to(pair.mesial.pointMm), there[i].mesial.pointMm)).toBeLessThan(0.005);
      expect(distance(to(pair.distal.pointMm), there[i].distal.pointMm)).toBeLessThan(0.005);
    });
  });

  it('a mirrored scan gives mirrored points', () => {
    const flip = (p: Vec3): Vec3 => [-p[0], p[1], p[2]];
    const other = (tooth: number): number => (tooth >= 40 ? tooth - 10 : tooth + 10);
    const mirrored = surfaceIndex(mirroredMesh(mesh));
    const mirroredFrame = archFrame(flip(frame.originMm), flip(frame.occlusal), flip(frame.forward));
    const here = snapAll(index, frame, clicks);
    const there = snapAll(
      mirrored,
      mirroredFrame,
      clicks.map((c) => ({ tooth: other(c.tooth), mesialMm: flip(c.mesialMm), distalMm: flip(c.distalMm) })),
    );
    here.forEach((pair, i) => {
      // Not to rounding: sectors round the place are counted from one side.
      expect(distance(flip(pair.mesial.pointMm), there[i].mesial.pointMm)).toBeLessThan(0.1);
      expect(distance(flip(pair.distal.pointMm), there[i].distal.pointMm)).toBeLessThan(0.1);
    });
  });

  it('cusps and incisal edges come within 0.3 mm in height and 0.7 mm of truth from clicks 0.5 mm off', () => {
    for (const t of teeth) {
      const [site, point] = t.cuspMm ? (['cusp', t.cuspMm] as const) : (['incisal', t.incisalMm!] as const);
      const clickMm = index.closestPoint([point[0] + 0.3, point[1] - 0.4, point[2]])!.pointMm;
      const marks = (['mesial', 'distal'] as const).map((s) => ({
        tooth: t.tooth,
        site: s,
        pointMm: s === 'mesial' ? t.mesialMm : t.distalMm,
        state: 'confirmed' as const,
        confidence: null,
      }));
      const found = snapToAnatomy({ index, frame, tooth: t.tooth, site, clickMm, marks });
      expect(distance(found.pointMm, point), `${t.tooth} ${site}`).toBeLessThan(0.7);
      expect(Math.abs(found.pointMm[2] - point[2]), `${t.tooth} ${site} height`).toBeLessThan(0.3);
    }
  });

  it('refuses a click off the scan and clicks on one spot', () => {
    const request = { index, frame, tooth: 31, site: 'mesial', clickMm: [0, 0, 60], marks: [] } as const;
    expect(() => snapToAnatomy(request)).toThrow(expect.objectContaining({ code: 'no-surface-near' }));
    const { mesialMm } = clicks[0];
    expect(() => snapTooth({ index, frame, tooth: 31, mesialMm, distalMm: mesialMm })).toThrow(
      expect.objectContaining({ code: 'marks-coincide' }),
    );
  });
});
