import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Refusal } from '../../../src/core/base/refusal.ts';
import { caseJson, documentJson } from '../../../src/core/casefile/documentJson.ts';
import { readDocument } from '../../../src/core/casefile/readDocument.ts';
import { arbitraryCase, fullCase } from './arbitraryCase.ts';
import { type Json, plainCase, refusalOf } from './refusedDocument.ts';

/** Every place in a value: its path as the refusal writes it, its value, and a way to change it. */
function* places(
  value: Json,
  path = '',
): Generator<{ path: string; value: Json; set: (v: unknown) => void; remove: () => void }> {
  if (typeof value !== 'object' || value === null) return;
  for (const key of Object.keys(value)) {
    const holder = value as Record<string, unknown>;
    const here = Array.isArray(value) ? `${path}[${key}]` : path === '' ? key : `${path}.${key}`;
    yield {
      path: here,
      value: holder[key] as Json,
      set: (v) => {
        holder[key] = v;
      },
      remove: () => {
        if (!Array.isArray(value)) delete holder[key];
      },
    };
    yield* places(holder[key] as Json, here);
  }
}

const placeCount = [...places(plainCase())].length;

describe('readDocument', () => {
  it('reads back every case that is written, to the bit', () => {
    fc.assert(
      fc.property(arbitraryCase, (document) => {
        expect(readDocument(caseJson(document), 'case')).toEqual(document);
      }),
      { seed: 4, numRuns: 150 },
    );
  });

  it('writes one text whatever the order in which fields were set', () => {
    const shuffled = (value: Json): Json =>
      Array.isArray(value)
        ? value.map(shuffled)
        : typeof value === 'object' && value !== null
          ? Object.fromEntries(
              Object.entries(value)
                .reverse()
                .map(([k, v]) => [k, shuffled(v)]),
            )
          : value;
    const text = caseJson(fullCase());
    expect(caseJson(shuffled(plainCase()) as never)).toBe(text);
    expect(text.startsWith('{\n  "schema": "archledger/case@1",\n  "id"')).toBe(true);
    expect(text.endsWith('}\n')).toBe(true);
  });

  it('reads a file that an editor began with a byte order mark', () => {
    expect(readDocument(`\uFEFF${caseJson(fullCase())}`, 'case')).toEqual(fullCase());
  });

  it('refuses an unknown field anywhere, with its path', () => {
    for (let i = 0; i < placeCount; i++) {
      const document = plainCase();
      const place = [...places(document)][i];
      const { value } = place;
      if (typeof value !== 'object' || value === null || Array.isArray(value)) continue;
      if (place.path.endsWith('.inputs')) continue; // free names of numbers
      place.set({ ...value, surprise: 1 });
      const refusal = refusalOf(JSON.stringify(document));
      expect(refusal.code).toBe('field-invalid');
      expect(refusal.detail.path).toBe(`${place.path}.surprise`);
    }
    expect(refusalOf(JSON.stringify({ ...(plainCase() as object), surprise: 1 })).detail.path).toBe(
      'surprise',
    );
  });

  it('refuses a missing field anywhere, with its path', () => {
    const optional =
      /\.(ownMm|ownSdMm|crownCorrections|enamelMm|midline)$|^(together|cutting|caliper)$|marks\[\d+\]\.sdMm$|\.inputs\./;
    for (let i = 0; i < placeCount; i++) {
      const document = plainCase();
      const place = [...places(document)][i];
      if (place.path.endsWith(']') || optional.test(place.path)) continue;
      place.remove();
      const refusal = refusalOf(JSON.stringify(document));
      expect(refusal.code).toBe(place.path === 'schema' ? 'schema-unknown' : 'field-invalid');
      if (place.path !== 'schema') expect(refusal.detail).toMatchObject({ path: place.path, got: 'nothing' });
    }
  });

  it('refuses a value of a wrong type anywhere, with its path', () => {
    for (let i = 0; i < placeCount; i++) {
      for (const wrong of [[[]], { a: {} }, true, 'a\nb/c', -1e300, 1.5e-7]) {
        const document = plainCase();
        const place = [...places(document)][i];
        const free = /\.(title|observer|limitReason|rule)$|^title$|^ratioNorm$/.test(place.path);
        if (typeof wrong === 'string' && free) continue;
        if (wrong === true && typeof place.value === 'boolean') continue;
        if (typeof wrong === 'number' && wrong > 0 && typeof place.value === 'number') continue;
        if (typeof wrong === 'number' && place.path.includes('.inputs.')) continue;
        const nullable = /(confidence|Confidence|limitMm|surfaceLimitsMm\[\d\]|enamelMm\[\d\]|neededMm)$/;
        if (typeof wrong === 'number' && wrong > 0 && nullable.test(place.path)) continue;
        if (typeof wrong === 'object' && !Array.isArray(wrong) && place.path.endsWith('.inputs')) continue;
        place.set(wrong);
        const refusal = refusalOf(JSON.stringify(document));
        if (place.path === 'schema') expect(refusal.code).toBe('schema-unknown');
        else {
          expect(refusal.code).toBe('field-invalid');
          const named = String(refusal.detail.path);
          expect(
            named.startsWith(place.path) || place.path.startsWith(named),
            `${place.path}: ${named}`,
          ).toBe(true);
        }
      }
    }
  });

  it.each([
    ['arches.lower.plan.visits', 0, 'at least 1'],
    ['arches.lower.plan.visits', 2.5, 'a whole number'],
    ['arches.lower.plan.overshootRisk', 0, 'more than 0'],
    ['arches.lower.plan.overshootRisk', 1, 'less than 1'],
    ['arches.lower.plan.stepMm', 0, 'at least 0.001'],
    ['arches.lower.plan.contacts[0].limitMm', 11, 'at most 10'],
    ['arches.lower.activeReading', 99, 'the count of readings'],
    ['arches.lower.jaw', 'upper', '"lower"'],
    ['arches.lower.scan.sha256', 'ABC', 'hexadecimal'],
    ['arches.lower.scan.file', '../a.stl', 'without folders'],
    ['arches.lower.frame.forward', [0, 0, 0], 'length 1'],
    ['arches.lower.readings[0].marks[0].tooth', 11, 'a tooth of the lower jaw'],
    ['arches.lower.readings[0].marks[0].tooth', 49, 'ISO 3950'],
    ['arches.lower.readings[0].marks[0].site', 'buccal', '"mesial"'],
    ['arches.lower.plan.contacts[0].teeth', [31, 41], 'right first'],
    ['arches.lower.plan.contacts[0].lock', 'none', '"implant"'],
    ['arches.lower.plan.contacts[0].earlierReductionMm', [0.1], 'length'],
    ['arches.lower.chart.thirdMolars', [37], 'a third molar'],
    ['createdAt', 'yesterday', 'a time'],
    ['notation', 'fdi', '"iso"'],
  ])('refuses %s = %j and says what is needed', (path, wrong, need) => {
    const document = plainCase();
    const place = [...places(document)].find((p) => p.path === path);
    place?.set(wrong);
    const refusal = refusalOf(JSON.stringify(document));
    expect(refusal.message).toContain(path);
    expect(refusal.message).toContain(need);
    expect(refusal.message).toMatch(/^readDocument: .*; got .*, need .*\. .*The file was left as it is\.$/s);
  });

  it('refuses a perpendicularity fault, a repeated mark and a tooth both missing and unerupted', () => {
    const skew = structuredClone(fullCase()) as never as {
      arches: { lower: { frame: { forward: unknown; occlusal: unknown } } };
    };
    skew.arches.lower.frame.forward = skew.arches.lower.frame.occlusal;
    expect(refusalOf(JSON.stringify(skew)).detail.path).toBe('arches.lower.frame.forward');

    const twice = plainCase() as never as { arches: { lower: { readings: { marks: unknown[] }[] } } };
    const { marks } = twice.arches.lower.readings[0];
    marks.push(marks[0]);
    expect(refusalOf(JSON.stringify(twice)).detail.path).toBe(
      `arches.lower.readings[0].marks[${marks.length - 1}]`,
    );

    const both = plainCase() as never as {
      arches: { lower: { chart: { missing: number[]; unerupted: number[] } } };
    };
    both.arches.lower.chart.missing = [...both.arches.lower.chart.unerupted];
    expect(refusalOf(JSON.stringify(both)).detail.path).toBe('arches.lower.chart.unerupted');
  });

  it('refuses Infinity written as an overflowing number', () => {
    const text = caseJson(fullCase()).replace(/"medianEdgeMm": [^,]+/, '"medianEdgeMm": 1e999');
    expect(refusalOf(text)).toMatchObject({ code: 'field-invalid' });
    expect(refusalOf(text).message).toContain(
      'medianEdgeMm is not right; got Infinity, need a finite number',
    );
  });

  it('refuses other kinds, later versions and foreign JSON', () => {
    const named = (schema: unknown) => JSON.stringify({ ...(plainCase() as object), schema });
    expect(refusalOf(named('archledger/case@2')).code).toBe('schema-newer');
    expect(refusalOf(named('archledger/case@0')).code).toBe('schema-unknown');
    expect(refusalOf(named('archledger/case@1.5')).code).toBe('schema-unknown');
    expect(refusalOf(named('archledger/marks@2')).code).toBe('schema-unknown');
    expect(refusalOf(named(7)).code).toBe('schema-unknown');
    for (const text of ['[]', '1', 'null', '"case"', '{}'])
      expect(refusalOf(text).code).toBe('schema-unknown');
    const marks = documentJson({ schema: 'archledger/marks@1', jaw: 'lower', marks: [] }, 'marks');
    expect(refusalOf(marks).message).toContain('got schema "archledger/marks@1", need "archledger/case@1"');
  });

  it('refuses texts cut short or damaged, naming line and column', () => {
    const text = caseJson(fullCase());
    for (let at = 0; at < text.length - 1; at += 97) {
      const refusal = refusalOf(text.slice(0, at));
      expect(refusal.code).toBe('json-invalid');
      expect(refusal.message).toMatch(/line \d+, column \d+/);
    }
    expect(refusalOf('solid ascii\nfacet normal 0 0 1').code).toBe('json-invalid');
  });

  it('never takes a byte-mutated file for something else: reads it whole or refuses it', () => {
    const text = caseJson(fullCase());
    fc.assert(
      fc.property(
        fc.nat({ max: text.length - 1 }),
        fc.nat({ max: 2 }),
        fc.constantFrom('', '"', '0', '9', '-', ',', '}', '[', 'e', 'null', ' '),
        (at, cut, piece) => {
          const mutated = text.slice(0, at) + piece + text.slice(at + cut);
          try {
            const document = readDocument(mutated, 'case');
            expect(readDocument(caseJson(document), 'case')).toEqual(document);
          } catch (error) {
            expect(error).toBeInstanceOf(Refusal);
          }
        },
      ),
      { seed: 5, numRuns: 300 },
    );
  });

  it('does not touch any prototype', () => {
    const text = caseJson(fullCase());
    for (const evil of ['"__proto__": {"polluted": 1},', '"constructor": {"prototype": {"polluted": 1}},']) {
      expect(refusalOf(text.replace('{', `{${evil}`)).code).toBe('json-invalid');
      expect(refusalOf(text.replace('"inputs": {', `"inputs": {${evil}`)).code).toBe('json-invalid');
    }
    expect(({} as { polluted?: unknown }).polluted).toBeUndefined();
  });

  it('refuses what is too deep or too long instead of hanging', () => {
    const text = caseJson(fullCase());
    const huge = '0,'.repeat(7_000_000);
    expect(refusalOf('['.repeat(8_000_000)).code).toBe('file-too-large');
    expect(refusalOf(text.replace('"missing": [', `"missing": [${huge}`)).code).toBe('file-too-large');
    const many = text.replace('"missing": [', `"missing": [${'"x",'.repeat(90_000)}`);
    expect(refusalOf(many)).toMatchObject({ code: 'field-invalid' });
    expect(refusalOf(many).message.length).toBeLessThan(500);
  });
});
