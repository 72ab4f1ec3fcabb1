import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { documentJson } from '../../../src/core/casefile/documentJson.ts';
import { readDocument } from '../../../src/core/casefile/readDocument.ts';
import { limitsOfAgreement } from '../../../src/core/study/limitsOfAgreement.ts';
import { study, studyFile } from '../../../src/core/study/study.ts';
import { studyFigures } from '../../../src/core/study/studyFigures.ts';
import { PEAK_FLOW } from '../../support/publishedPairs.ts';
import { refusalOf } from '../../support/refusal.ts';

const rowsOf = (a: readonly number[], b: readonly number[], by: readonly (string | null)[] = []) =>
  a.map((value, i) => ({ a: value, b: b[i], by: by[i] ?? null }));

describe('study@1', () => {
  const { wright1, mini1 } = PEAK_FLOW;
  const by = wright1.map((value) => (value > 430 ? 'high' : 'low'));

  it('pooled first, then the groups in the order of first mention, each by its own pairs', () => {
    const { groups } = studyFile(study(rowsOf(wright1, mini1, by)));
    expect(groups.map(({ by, n }) => [by, n])).toEqual([
      [null, 17],
      ['high', by.filter((value) => value === 'high').length],
      ['low', by.filter((value) => value === 'low').length],
    ]);
    const low = wright1.map((_, i) => i).filter((i) => by[i] === 'low');
    const alone = limitsOfAgreement(
      low.map((i) => wright1[i]),
      low.map((i) => mini1[i]),
    );
    expect(groups[2].bias).toBe(alone.bias);
    expect(groups[2].limitsCi).toEqual(alone.limitsCi);
  });

  it('is written, read back and refused when damaged', async () => {
    const file = studyFile(study(rowsOf(wright1, mini1, by)));
    const text = documentJson(file, 'study');
    expect(readDocument(text, 'study')).toEqual(file);
    // biome-ignore lint/suspicious/noExplicitAny: damage on purpose.
    const damaged = async (change: (copy: any) => void) => {
      const copy = JSON.parse(text);
      change(copy);
      return (await refusalOf(() => readDocument(JSON.stringify(copy), 'study'))).detail.path;
    };
    expect(await damaged((copy) => copy.groups.shift())).toBe('groups');
    expect(await damaged((copy) => delete copy.groups[0].icc.single2.ci)).toBe('groups[0].icc.single2.ci');
    expect(
      await damaged((copy) => {
        copy.groups[1].biasCi.reverse();
      }),
    ).toBe('groups[1].biasCi');
    expect(
      await damaged((copy) => {
        copy.groups[1].sd = -1;
      }),
    ).toBe('groups[1].sd');
    expect(
      await damaged((copy) => {
        copy.groups[2].by = 'high';
      }),
    ).toBe('groups[2]');
    expect(
      await damaged((copy) => {
        copy.groups[0].more = 1;
      }),
    ).toBe('groups[0].more');
  });

  it('rows that lack a value count nowhere, and a group of nothing but those is shown empty', () => {
    const rows = [...rowsOf([1, 2, 4], [1, 3, 4]), { a: null, b: 3, by: 'x' }, { a: 1, b: null, by: 'x' }];
    const { groups } = studyFile(study(rows));
    expect(groups[0].n).toBe(3);
    expect(groups[1]).toMatchObject({ by: 'x', n: 0, bias: null, sd: null, pearson: null });
  });
});

describe('figures that cannot be had', () => {
  it('are null with the reason, the others stay', () => {
    const constant = studyFigures([5, 5, 5], [4, 5, 6]);
    expect(constant.agreement?.bias).toBe(0);
    expect(constant.pearson).toBeNull();
    expect(constant.missing).toContainEqual({
      figure: 'pearson',
      why: 'the first column is one value throughout; got no variation, need values that differ',
    });
    const even = studyFigures([1, 2, 3], [1.5, 2.5, 3.5]);
    expect(even.pairedT).toBeNull();
    expect(even.agreement?.limits).toEqual([-0.5, -0.5]);
    const one = studyFigures([1], [3]);
    expect(one).toMatchObject({ n: 1, bias: -2, agreement: null, deming: null });
    expect(one.dahlberg).toBeCloseTo(Math.SQRT2, 14);
    const aroundZero = studyFigures([1, -1], [1.5, -1.5]);
    expect(aroundZero.technicalErrorPercent).toBeNull();
  });

  it('fewer than two complete pairs are no study', async () => {
    expect((await refusalOf(() => study([{ a: 1, b: 2, by: null }]))).code).toBe('too-few-pairs');
    expect((await refusalOf(() => study([]))).code).toBe('too-few-pairs');
    expect((await refusalOf(() => study(rowsOf([1, Number.NaN], [1, 2])))).code).toBe('number-invalid');
  });

  it('nothing is ever NaN or infinite, and every study can be written', () => {
    const value = fc.oneof(
      fc.integer({ min: -3, max: 3 }),
      fc.double({ noNaN: true, min: -1e100, max: 1e100 }),
      fc.double({ noNaN: true, min: -1e-300, max: 1e-300 }),
      fc.constantFrom(0.1, 0.2, 0.3),
    );
    const rows = fc.array(fc.record({ a: value, b: value, by: fc.constantFrom(null, 'x', 'y') }), {
      minLength: 2,
      maxLength: 12,
    });
    fc.assert(
      fc.property(rows, (data) => {
        const result = study(data);
        const numbers = JSON.stringify(result, (_, v) => {
          if (typeof v === 'number' && !Number.isFinite(v)) throw new Error(`${v}`);
          return v;
        });
        expect(numbers.length).toBeGreaterThan(0);
        documentJson(studyFile(result), 'study');
      }),
      { seed: 12, numRuns: 1500 },
    );
  });
});
