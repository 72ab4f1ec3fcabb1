import { expect, it } from 'vitest';
import { activeMarks, presenceOf, withPresence } from '../../../src/app/state/archEdits.ts';
import { newArchRecord } from '../../../src/core/casefile/newCase.ts';
import { presentTeeth } from '../../../src/core/casefile/presentTeeth.ts';
import { markingOrder } from '../../../src/core/marks/markingOrder.ts';
import { UPRIGHT } from '../../support/markArches.ts';

const makeRecord = () =>
  newArchRecord({
    jaw: 'lower',
    scan: {
      file: 'made.stl',
      sha256: 'a'.repeat(64),
      format: 'stl-binary',
      byteCount: 134,
      unit: 'mm',
      triangles: 1,
      vertices: 3,
    },
    medianEdgeMm: 0.2,
    frame: UPRIGHT,
    frameConfidence: 1,
  });

const marked = (record: ReturnType<typeof makeRecord>, tooth: number) => ({
  ...record,
  readings: [
    {
      observer: '',
      repeat: 1,
      marks: (['mesial', 'distal'] as const).map((site) => ({
        tooth,
        site,
        pointMm: [1, 2, 3] as const,
        state: 'confirmed' as const,
        confidence: null,
      })),
    },
  ],
});

it('a primary tooth said to stand takes the place of its successor, which is unerupted', () => {
  const record = withPresence(marked(makeRecord(), 35), 35, 'primary');
  expect(presenceOf(record.chart, 35)).toBe('primary');
  expect(record.chart.unerupted).toEqual([35]);
  expect(record.chart.primary).toEqual([75]);
  expect(activeMarks(record)).toEqual([]);
  expect(presentTeeth(record)).toContain(75);
  expect(presentTeeth(record)).not.toContain(35);
  const order = markingOrder('lower', record.chart).map(({ tooth }) => tooth);
  expect(order.indexOf(75)).toBe(order.indexOf(34) + 2);
  expect(order).not.toContain(35);
});

it('takes the marks of a primary tooth away with it, and leaves no empty list behind', () => {
  const standing = marked(withPresence(makeRecord(), 35, 'primary'), 75);
  for (const next of ['present', 'missing', 'unerupted'] as const) {
    const record = withPresence(standing, 35, next);
    expect(presenceOf(record.chart, 35)).toBe(next);
    expect(activeMarks(record)).toEqual([]);
    expect('primary' in record.chart).toBe(false);
  }
  expect(activeMarks(withPresence(standing, 35, 'primary'))).toHaveLength(2);
});
