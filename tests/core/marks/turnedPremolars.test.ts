import { beforeAll, describe, expect, it } from 'vitest';
import { archFrame, directionInArch } from '../../../src/core/arch/ArchFrame.ts';
import { findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import { positionOf, type Tooth } from '../../../src/core/base/tooth.ts';
import { distance } from '../../../src/core/base/Vec3.ts';
import { crownShapes } from '../../../src/core/crowns/crownShape.ts';
import { findCrowns } from '../../../src/core/crowns/findCrowns.ts';
import { rimTurn } from '../../../src/core/crowns/rimTurn.ts';
import { proposeMarks } from '../../../src/core/marks/proposeMarks.ts';
import { openScan } from '../../../src/core/scan/openScan.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import type { ArchRecipe } from '../../../src/samples/ArchRecipe.ts';
import { makeArch } from '../../../src/samples/makeArch.ts';
import { namedSamples } from '../../../src/samples/namedSamples.ts';
import { variantSamples } from '../../../src/samples/variantSamples.ts';
import { makeMesh } from '../../support/meshes.ts';
import { rms } from '../../support/proposeExperiment.ts';
import { hasSharedScans, type SharedScan, sharedScan } from '../../support/sharedScans.ts';

const WHOLE = { missing: [], unerupted: [], thirdMolars: [] };

const shipped = [...namedSamples, ...variantSamples].find((s) => s.name === 'lower-turned-premolars')!.recipe;
const arches: readonly ArchRecipe[] = [
  shipped,
  { jaw: 'lower', seed: 311, rotationsDeg: { 35: 40, 44: -32 } },
  { jaw: 'upper', seed: 312, rotationsDeg: { 14: 35, 25: -45 }, pose: 'any' },
  { jaw: 'lower', seed: 313, rotationsDeg: { 34: -30, 45: 60 } },
  { jaw: 'upper', seed: 314, rotationsDeg: { 15: 25, 24: 90 } },
  { jaw: 'upper', seed: 316, rotationsDeg: { 14: -20, 24: 30 } },
  { jaw: 'lower', seed: 317, rotationsDeg: { 35: -50, 45: 90 }, pose: 'any' },
  // took no part in choosing
  { jaw: 'lower', seed: 411, rotationsDeg: { 34: 45, 45: -35 }, crowdingMm: 1, pose: 'any' },
  { jaw: 'upper', seed: 412, rotationsDeg: { 15: -40, 24: 50 } },
  { jaw: 'lower', seed: 413, rotationsDeg: { 35: 25, 44: 60 } },
  { jaw: 'upper', seed: 414, rotationsDeg: { 14: 28, 25: 70 }, crowdingMm: 1 },
];

interface TurnedTooth {
  readonly name: string;
  readonly isTurned: boolean;
  readonly errorMm: number;
  readonly leftDeg: number; // of the turn, after what was found; without regard to which end is mesial
  readonly doubts: readonly string[];
  readonly confidence: number;
}

function premolarsOf(recipe: ArchRecipe): readonly TurnedTooth[] {
  const { mesh: made, truth } = makeArch({ ...recipe, triangles: 80_000 });
  const mesh = makeMesh(made.positions, made.indices);
  const { frame } = findArchFrame(mesh);
  const { crowns, marks, doubts } = proposeMarks(surfaceIndex(mesh), frame, recipe.jaw, WHOLE);
  const shapes = crownShapes(mesh, frame, crowns);
  return truth.teeth
    .filter(({ tooth }) => positionOf(tooth) === 4 || positionOf(tooth) === 5)
    .map(({ tooth, widthMm, mesiodistalAxis }) => {
      const own = marks.filter((m) => m.tooth === tooth);
      const at = (site: string) => own.find((m) => m.site === site)!;
      const { mesial } = shapes.find((s) => s?.tooth === tooth)!;
      const [x, y] = directionInArch(frame, mesiodistalAxis);
      const left = Math.atan2(mesial[0] * y - mesial[1] * x, mesial[0] * x + mesial[1] * y);
      const leftDeg = ((left - Math.PI * Math.round(left / Math.PI)) * 180) / Math.PI;
      return {
        name: `${recipe.jaw} ${recipe.seed} ${tooth}`,
        isTurned: recipe.rotationsDeg?.[tooth] !== undefined,
        errorMm: distance(at('mesial').pointMm, at('distal').pointMm) - widthMm,
        leftDeg,
        doubts: doubts.filter((d) => d.tooth === tooth).map((d) => d.message),
        confidence: Math.min(at('mesial').confidence!, at('distal').confidence!),
      };
    });
}

describe('turned premolars', () => {
  let teeth: readonly TurnedTooth[] = [];
  beforeAll(() => {
    teeth = arches.flatMap(premolarsOf);
  }, 200_000);

  it('are measured across their own proximal walls: RMS 0.15 mm over twenty-two turned by 20 to 90 degrees', () => {
    const turned = teeth.filter((t) => t.isTurned);
    for (const t of turned)
      console.info(
        `${t.name}: ${t.errorMm.toFixed(2)} mm, ${t.leftDeg.toFixed(0)}° left, ${t.doubts.join(' ')}`,
      );
    expect(turned.length).toBe(22);
    expect(rms(turned.map((t) => t.errorMm))).toBeLessThan(0.15);
    expect(rms(turned.map((t) => t.leftDeg))).toBeLessThan(15);
  });

  it('are named as doubtful from 30 degrees on, straight ones are not named as turned', () => {
    const saidTurned = (t: TurnedTooth) => t.doubts.some((d) => d.startsWith('Turned against the row'));
    for (const t of teeth) {
      if (!t.isTurned) expect(saidTurned(t), t.name).toBe(false);
      if (saidTurned(t)) expect(t.confidence, t.name).toBeLessThan(0.5);
    }
    // none that is measured badly goes unsaid
    for (const t of teeth.filter((p) => Math.abs(p.errorMm) > 0.3)) expect(t.doubts, t.name).not.toEqual([]);
    expect(teeth.filter((t) => t.isTurned && saidTurned(t)).length).toBeGreaterThanOrEqual(17);
  });

  it('straight ones stay as true as before', () => {
    expect(rms(teeth.filter((t) => !t.isTurned).map((t) => t.errorMm))).toBeLessThan(0.1);
  });
});

describe('the turn of a premolar from its rim', () => {
  /** A rim whose height goes round in two waves, on a crown of 3.5 mm radius. */
  const crown = (turnRad: number, oneMm: number, twoMm: number) => {
    const points: number[] = [];
    for (let r = 0; r <= 3.5; r += 0.25)
      for (let k = 0; k < 72; k++) {
        const a = (k * Math.PI) / 36;
        const from = a - turnRad - Math.PI / 2; // the buccal side of a straight one lies toward +y
        points.push(
          r * Math.cos(a) + 5,
          r * Math.sin(a) - 9,
          oneMm * Math.cos(from) + twoMm * Math.cos(2 * from),
        );
      }
    return Float32Array.from(points);
  };

  it.each([0, 0.4, -0.7, 1.2])('turned by %f: found from two cusps and from one', (turnRad) => {
    expect(rimTurn(crown(turnRad, 0, 0.7), [0, 1], false).turnRad).toBeCloseTo(turnRad, 1);
    expect(rimTurn(crown(turnRad, 0.8, 0.15), [0, 1], true).turnRad).toBeCloseTo(turnRad, 1);
  });

  it('is known the better, the higher the cusps', () => {
    const sd = (mm: number) => rimTurn(crown(0.3, 0, mm), [0, 1], false).sdRad;
    expect(sd(0.2)).toBeGreaterThan(2 * sd(0.6));
    expect(rimTurn(crown(0.3, 0, 0), [0, 1], false).sdRad).toBeGreaterThan(Math.PI / 2);
  });
});

// None of these crowns stands turned.
describe.skipIf(!hasSharedScans)('real premolars', () => {
  it.each([
    ['crowns-a-lower', 'lower', archFrame([0, 0, 0], [0, 1, 0], [0, 0, 1])],
    ['crowns-a-upper', 'upper', archFrame([0, 0, 0], [0, -1, 0], [0, 0, 1])],
    ['arch-b-upper', 'upper', null],
  ] as const)('%s: none is taken for turned', async (name, jaw, given) => {
    const { mesh } = await openScan(sharedScan(name as SharedScan), `${name}.stl`);
    const frame = given ?? findArchFrame(mesh).frame;
    const turns = crownShapes(mesh, frame, findCrowns(mesh, frame, jaw, WHOLE)).flatMap((shape) =>
      shape && [4, 5].includes(positionOf(shape.tooth))
        ? [[shape.tooth, shape.turnRad] as [Tooth, number]]
        : [],
    );
    expect(turns.length).toBe(4);
    for (const [tooth, turnRad] of turns) expect(Math.abs(turnRad), String(tooth)).toBeLessThan(0.2);
  });
});
