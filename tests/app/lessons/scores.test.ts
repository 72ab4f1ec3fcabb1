import { describe, expect, it } from 'vitest';
import { beginWithNone } from '../../../src/app/lessons/beginWithNone.ts';
import { followUpScore } from '../../../src/app/lessons/followUpScore.ts';
import { markScore, WIDTH_FULL_MM, WIDTH_NONE_MM } from '../../../src/app/lessons/markScore.ts';
import { planScore } from '../../../src/app/lessons/planScore.ts';
import { pointsFor } from '../../../src/app/lessons/points.ts';
import { whereOff, whyOff } from '../../../src/app/lessons/scoreWords.ts';
import { positionOf } from '../../../src/core/base/tooth.ts';
import type { Vec3 } from '../../../src/core/base/Vec3.ts';
import type { PlacedMark } from '../../../src/core/marks/Mark.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { makeArch } from '../../../src/samples/makeArch.ts';
import { makeContact, makeRequest } from '../../support/reductionRequests.ts';
import { sampleMarks } from '../../support/sampleMarks.ts';

const { truth } = makeArch({ jaw: 'upper', seed: 17, crowdingMm: 2, pose: 'any', triangles: 20_000 });
const front = truth.teeth.map((t) => t.tooth).filter((t) => positionOf(t) <= 3);
const exact = (): PlacedMark[] =>
  sampleMarks(truth).marks.map((m) => ({ ...m, state: 'confirmed' as const, confidence: null }));

/** Marks of a tooth's site moved along its axis toward mesial, outward and out of the gum. */
function moved(tooth: number, site: string, alongMm: number, upMm = 0): PlacedMark[] {
  const own = truth.teeth.find((t) => t.tooth === tooth)!;
  return exact().map((m) =>
    m.tooth === tooth && m.site === site
      ? {
          ...m,
          pointMm: m.pointMm.map(
            (x, k) => x + alongMm * own.mesiodistalAxis[k] + upMm * truth.frame.occlusal[k],
          ) as unknown as Vec3,
        }
      : m,
  );
}

describe('markScore', () => {
  it('gives the true points full marks, and no marks none', () => {
    const found = markScore(exact(), truth, front);
    expect(found.points).toBe(100);
    expect(found.rmsMm).toBeCloseTo(0, 9);
    expect(found.teeth.map((t) => t.tooth)).toEqual(front);
    for (const t of found.teeth) expect(whyOff(t)).toBe('Both points are where they belong.');
    const none = markScore([], truth, front);
    expect(none.points).toBe(0);
    expect(none.rmsMm).toBeNull();
    expect(whyOff(none.teeth[0])).toContain('needed');
  });

  it('tells where a point lies, and which one spoils the width', () => {
    const found = markScore(moved(13, 'mesial', 0.4), truth, front);
    const tooth = found.teeth.find((t) => t.tooth === 13)!;
    expect(tooth.errorMm!).toBeCloseTo(0.4, 1);
    expect(tooth.sites[0].mesialMm).toBeCloseTo(0.4, 9);
    expect(Math.abs(tooth.sites[0].outwardMm)).toBeLessThan(1e-9);
    expect(tooth.points).toBeGreaterThan(20);
    expect(tooth.points).toBeLessThan(60);
    expect(whereOff(tooth.sites[0], 13)).toContain('0.4 mm toward mesial');
    expect(whyOff(tooth)).toMatch(/^Too wide\. The mesial point stands out beyond the crown/);
    expect(found.points).toBeCloseTo((500 + tooth.points) / 6, 6);

    const narrow = markScore(moved(22, 'distal', 0.5), truth, front).teeth.find((t) => t.tooth === 22)!;
    expect(whyOff(narrow)).toMatch(/^Too narrow\. The distal point stops short/);
  });

  it('lets a point up or down the wall alone where the width stays right', () => {
    const up = markScore(moved(11, 'mesial', 0, -0.4), truth, front).teeth.find((t) => t.tooth === 11)!;
    expect(up.sites[0].upMm).toBeCloseTo(-0.4, 9);
    expect(up.points).toBeGreaterThan(95);
    expect(whyOff(up)).toBe('The width is right. Yet: mesial point 0.4 mm toward the gum.');
  });

  it('counts confirmed marks only', () => {
    const proposed = exact().map((m) => ({ ...m, state: 'proposed' as const }));
    expect(markScore(proposed, truth, front).points).toBe(0);
  });
});

describe('pointsFor', () => {
  it('runs from 100 to 0 between its two ends, for both signs', () => {
    expect(pointsFor(0.05, WIDTH_FULL_MM, WIDTH_NONE_MM)).toBe(100);
    expect(pointsFor(-0.35, WIDTH_FULL_MM, WIDTH_NONE_MM)).toBeCloseTo(50, 9);
    expect(pointsFor(3, WIDTH_FULL_MM, WIDTH_NONE_MM)).toBe(0);
  });
});

describe('followUpScore', () => {
  const contact = (teeth: readonly [number, number], separationAfterMm: number) => ({
    teeth,
    separationBeforeMm: 0,
    separationAfterMm,
    enamelGoneMm: 0.3,
  });
  const told = (gapMm: number) =>
    ({ contacts: [contact([42, 41], 0), contact([41, 31], gapMm), contact([31, 32], 0.02)] }) as never;

  it('asks for the widest space, its size, and to stop and close', () => {
    const right = followUpScore({ openAt: [41, 31], gapMm: 0.42, next: 'close' }, told(0.4), -0.4);
    expect(right).toMatchObject({ points: 100, openAt: [41, 31], gapMm: 0.4, next: 'close' });
    const half = followUpScore({ openAt: [42, 41], gapMm: 0.4, next: 'more' }, told(0.4), -0.4);
    expect(half.points).toBeCloseTo(40, 9);
    expect(followUpScore({ openAt: null, gapMm: null, next: null }, told(0.4), -0.4).points).toBe(0);
  });

  it('where all is closed, asks for more only while space is short', () => {
    const none = { openAt: null, gapMm: 0 } as const;
    expect(followUpScore({ ...none, next: 'more' }, told(0), 1.2)).toMatchObject({
      points: 100,
      next: 'more',
    });
    expect(followUpScore({ ...none, next: 'stop' }, told(0), 0)).toMatchObject({ points: 100, next: 'stop' });
  });
});

describe('planScore', () => {
  const contacts = (
    [
      [43, 42],
      [42, 41],
      [41, 31],
      [31, 32],
    ] as const
  ).map((teeth) => makeContact(teeth, { limitMm: 0.5, surfaceLimitsMm: [0.3, 0.3] }));
  const request = makeRequest({ neededMm: 1, neededSdMm: 0, visits: 4, perVisitLimitMm: 0.5, contacts });
  const plan = planReduction(request);
  const as = (amounts: readonly number[]) => ({
    ...plan,
    plannedMm: amounts.reduce((a, b) => a + b, 0),
    contacts: plan.contacts.map((c, i) => ({ ...c, totalMm: amounts[i] })),
  });

  it('gives the exact plan full marks and nothing planned none', () => {
    const same = planScore(plan, plan, request);
    expect(same.points).toBe(100);
    expect(same.own).toEqual(same.exact);
    expect(planScore(as([0, 0, 0, 0]), plan, request).points).toBe(0);
  });

  it('takes points for a wrong sum and for one contact worn more than need be', () => {
    const uneven = planScore(as([0.5, 0.5, 0, 0]), plan, request);
    expect(uneven.own.plannedMm).toBeCloseTo(1, 9);
    expect(uneven.own.worstShare).toBeCloseTo(1, 9);
    expect(uneven.exact.worstShare).toBeLessThan(0.7);
    expect(uneven.points).toBeLessThan(80);
    const half = planScore(as([0.1, 0.1, 0.1, 0.2]), plan, request);
    expect(half.points).toBeLessThan(100);
    expect(half.points).toBeGreaterThan(50);
  });
});

it('beginWithNone leaves nothing out', () => {
  const told: unknown[] = [];
  beginWithNone({ contacts: [{ teeth: [41, 31] }, { teeth: [31, 32] }] }, (...words) => told.push(words));
  expect(told).toEqual([
    [
      {
        contacts: [
          { teeth: [41, 31], totalMm: 0, surfacesMm: [0, 0], byVisitMm: [], heldBackMm: 0 },
          { teeth: [31, 32], totalMm: 0, surfacesMm: [0, 0], byVisitMm: [], heldBackMm: 0 },
        ],
      },
      [41, 31],
    ],
  ]);
});
