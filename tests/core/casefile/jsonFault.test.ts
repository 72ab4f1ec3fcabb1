import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { JSON_MAX_DEPTH, JSON_MAX_VALUES, jsonFault } from '../../../src/core/casefile/jsonFault.ts';

const parses = (text: string): boolean => {
  try {
    JSON.parse(text);
    return true;
  } catch {
    return false;
  }
};

describe('jsonFault', () => {
  it('passes whatever JSON.stringify writes', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 5 }), fc.nat({ max: 3 }), (value, indent) => {
        const fault = jsonFault(JSON.stringify(value, null, indent));
        expect(fault === null || fault.kind === 'forbidden-key').toBe(true);
      }),
      { seed: 1, numRuns: 500 },
    );
  });

  it('agrees with JSON.parse on mutated texts', () => {
    const good = '{"a": [1, -0.5e+3, "x\\u00e9\\n", true, false, null, {}], "b": {"c": [], "d": "\\\\"}}';
    const pieces = [
      '',
      '"',
      '\\',
      ',',
      ':',
      '{',
      '}',
      '[',
      ']',
      '0',
      '1',
      '-',
      '.',
      'e',
      't',
      'null',
      ' ',
      '\n',
      '\u0001',
      '\uFEFF',
      '/',
      "'",
      'u',
    ];
    let refused = 0;
    fc.assert(
      fc.property(
        fc.nat({ max: good.length }),
        fc.nat({ max: 3 }),
        fc.constantFrom(...pieces),
        (at, cut, piece) => {
          const text = good.slice(0, at) + piece + good.slice(at + cut);
          const fault = jsonFault(text);
          if (fault?.kind === 'forbidden-key') return;
          expect(fault === null, `${text} ${JSON.stringify(fault)}`).toBe(parses(text));
          if (fault) {
            refused++;
            expect(fault.index).toBeLessThanOrEqual(text.length);
          }
        },
      ),
      { seed: 2, numRuns: 2000 },
    );
    expect(refused).toBeGreaterThan(500);
  });

  it('never lets a text through that JSON.parse refuses, whatever its characters', () => {
    fc.assert(
      fc.property(
        fc.string({ unit: fc.constantFrom(...'{}[]",:\\ 0123-+.eEtrufalsn'), maxLength: 12 }),
        (text) => {
          if (jsonFault(text) === null) expect(parses(text)).toBe(true);
          else if (jsonFault(text)?.kind === 'syntax') expect(parses(text)).toBe(false);
        },
      ),
      { seed: 3, numRuns: 5000 },
    );
  });

  it.each([
    ['', 1, 1],
    ['{"a":1,}', 1, 8],
    ['{\n  "a": 1\n  "b": 2\n}', 3, 3],
    ['{"a": tru}', 1, 7],
    ['{"a": 1}\n\nx', 3, 1],
    ['[1, 2', 1, 6],
    ['{"a": 01}', 1, 8],
    ['{"a": NaN}', 1, 7],
    ['["tab\there"]', 1, 6],
  ])('names the place of the fault in %j', (text, line, column) => {
    expect(jsonFault(text)).toMatchObject({ kind: 'syntax', line, column });
  });

  it('refuses a repeated name and names that reach a prototype', () => {
    expect(jsonFault('{"a": 1, "\\u0061": 2}')).toMatchObject({ kind: 'forbidden-key', column: 10 });
    for (const name of ['__proto__', 'constructor', 'prototype', '__pr\\u006fto__'])
      expect(jsonFault(`{"x": {"${name}": {"polluted": true}}}`)).toMatchObject({ kind: 'forbidden-key' });
    expect(jsonFault('[{"a": 1}, {"a": 1}]')).toBeNull();
  });

  it('stops at depth and count without exhausting anything', () => {
    expect(jsonFault('['.repeat(5_000_000))).toMatchObject({ kind: 'too-large', index: JSON_MAX_DEPTH });
    expect(jsonFault('{"a":'.repeat(1_000_000))).toMatchObject({ kind: 'too-large' });
    expect(jsonFault(`[${'0,'.repeat(JSON_MAX_VALUES)}0]`)).toMatchObject({ kind: 'too-large' });
    expect(jsonFault(' '.repeat(20_000_000))).toMatchObject({ kind: 'too-large' });
    expect(jsonFault(`"${'a'.repeat(10_000_000)}"`)).toBeNull();
    expect(jsonFault('1'.repeat(10_000_000))).toBeNull();
  });
});
