import { beforeEach, describe, expect, it } from 'vitest';
import { startLesson } from '../../../src/app/lessons/lessonStore.ts';
import { widthInWords } from '../../../src/app/marking/siteActions.ts';
import { siteOrder } from '../../../src/app/marking/siteOrder.ts';
import { actions, useStore } from '../../../src/app/store.ts';
import {
  finishReading,
  isBlindUnderWay,
  partnerOf,
  readingProgress,
  startReading,
} from '../../../src/app/study/blindedReading.ts';
import { useStudy } from '../../../src/app/study/studyStore.ts';
import { positionOf, type Tooth } from '../../../src/core/base/tooth.ts';
import { emptyCase, newArchRecord } from '../../../src/core/casefile/newCase.ts';
import { markingOrder } from '../../../src/core/marks/markingOrder.ts';

const lower = () => useStore.getState().caseDocument.arches.lower!;

function openArch(sha: string): void {
  const record = newArchRecord({
    jaw: 'lower',
    scan: {
      file: 'arch.ply',
      sha256: sha.repeat(64),
      format: 'ply-ascii',
      byteCount: 10,
      unit: 'mm',
      triangles: 100,
      vertices: 60,
    },
    medianEdgeMm: 0.2,
    frame: { originMm: [0, 0, 0], occlusal: [0, 0, 1], forward: [0, 1, 0] },
  });
  const document = emptyCase('reading-test', '2026-01-01T00:00:00.000Z');
  actions().openCase({ ...document, arches: { upper: null, lower: record } });
}

function markTooth(tooth: Tooth, widthMm: number): void {
  actions().placeMark('lower', tooth, 'mesial', [tooth, 0, 0]);
  actions().placeMark('lower', tooth, 'distal', [tooth + widthMm, 0, 0]);
}

const markAll = (): void => {
  for (const { tooth } of markingOrder('lower', lower().chart)) markTooth(tooth, 7);
};

describe('a blinded reading', () => {
  beforeEach(() => {
    openArch('a');
    useStudy.setState({ startedBlind: null, finishedBlind: [], readings: [0, 1] });
    markAll();
  });

  it('is under way from its start until it is finished, marked or not', () => {
    expect(isBlindUnderWay(lower())).toBe(false);
    startReading('lower', 'Ana', true);
    expect(isBlindUnderWay(lower())).toBe(true);
    expect(readingProgress(lower())).toEqual({ placed: 0, all: 28 });
    markAll();
    expect(readingProgress(lower())).toEqual({ placed: 28, all: 28 });
    expect(isBlindUnderWay(lower())).toBe(true);
    finishReading('lower');
    expect(isBlindUnderWay(lower())).toBe(false);
    expect(useStudy.getState().readings).toEqual([0, 1]);
  });

  it('says no width until then', () => {
    expect(widthInWords('lower', 41)).toContain('7.00 mm');
    startReading('lower', '', true);
    markTooth(41, 5.5);
    expect(widthInWords('lower', 41)).toBe('');
    finishReading('lower');
    expect(widthInWords('lower', 41)).toContain('5.50 mm');
  });

  it('of an earlier visit to the page shows figures only where it is whole', () => {
    startReading('lower', '', true);
    markTooth(41, 5.5);
    useStudy.setState({ startedBlind: null });
    expect(isBlindUnderWay(lower())).toBe(true);
    markAll();
    expect(isBlindUnderWay(lower())).toBe(false);
  });

  it('is compared with the latest of its observer, else with anybody’s', () => {
    startReading('lower', 'Ana', true);
    expect(partnerOf(lower())).toBe(0);
    markAll();
    startReading('lower', 'Ben', true);
    markAll();
    startReading('lower', 'Ana', true);
    expect(lower().readings.map(({ observer, repeat }) => `${observer} ${repeat}`)).toEqual([
      ' 1',
      'Ana 1',
      'Ben 1',
      'Ana 2',
    ]);
    expect(partnerOf(lower())).toBe(1);
    markAll();
    finishReading('lower');
    expect(useStudy.getState().readings).toEqual([1, 3]);
  });

  it('an open one hides nothing', () => {
    startReading('lower', 'Ana', false);
    expect(isBlindUnderWay(lower())).toBe(false);
    expect(siteOrder(lower())).toEqual(markingOrder('lower', lower().chart));
  });

  it('asks for every point once, each tooth’s two together, in another order than the arch has', () => {
    startReading('lower', 'Ana', true);
    const order = siteOrder(lower());
    const plain = markingOrder('lower', lower().chart);
    expect(order).not.toEqual(plain); // one order in 14! is the plain one
    expect([...order].sort((a, b) => a.tooth - b.tooth || a.site.localeCompare(b.site))).toEqual(
      [...plain].sort((a, b) => a.tooth - b.tooth || a.site.localeCompare(b.site)),
    );
    for (let i = 0; i < order.length; i += 2) expect(order[i].tooth).toBe(order[i + 1].tooth);
  });
});

it('the lesson on marking asks for the front teeth of its own scan alone', () => {
  openArch('b');
  startLesson({ id: 'marking', arch: { kind: 'sample', name: 'x', jaw: 'lower' }, sha256: 'b'.repeat(64) });
  expect(siteOrder(lower())).toHaveLength(12);
  expect(siteOrder(lower()).every(({ tooth }) => positionOf(tooth) <= 3)).toBe(true);
  openArch('c');
  expect(siteOrder(lower())).toHaveLength(28);
});
