import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { archOrder, contactsOf, positionOf } from '../../src/core/base/tooth.ts';
import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { fullRecipe } from '../../src/samples/fullRecipe.ts';
import { recipeCode, recipeFromCode } from '../../src/samples/recipeCode.ts';
import { shippedSamples } from '../../src/samples/shippedSamples.ts';
import { refusalOf } from '../support/refusal.ts';

const step = (least: number, most: number, perUnit: number) =>
  fc.integer({ min: least, max: most }).map((n) => n / perUnit);

/** Any recipe on the steps of the sliders, each list in the order of its teeth. */
const recipes: fc.Arbitrary<ArchRecipe> = fc.constantFrom('upper' as const, 'lower' as const).chain((jaw) => {
  const teeth = archOrder(jaw).filter((t) => positionOf(t) <= 7);
  const some = (list: readonly number[]) =>
    fc.subarray([...list]).map((found) => [...found].sort((a, b) => a - b));
  const perTooth = (most: number, perUnit: number) =>
    fc
      .dictionary(fc.constantFrom(...teeth.map(String)), step(-most, most, perUnit), { maxKeys: 6 })
      .map((record) => Object.fromEntries(Object.entries(record).filter(([, n]) => n !== 0)));
  return fc.record(
    {
      jaw: fc.constant(jaw),
      seed: fc.integer({ min: 0, max: 999_999_999 }),
      crowdingMm: step(0, 120, 10),
      spacingMm: step(0, 150, 10),
      gaps: fc
        .subarray([...contactsOf(teeth)])
        .chain((contacts) =>
          fc.tuple(...contacts.map((c) => step(0, 90, 10).map((gapMm) => ({ teeth: c, gapMm })))),
        ),
      rotationsDeg: perTooth(90, 1),
      displacementsMm: perTooth(40, 10),
      missing: fc
        .tuple(
          some(teeth.filter((t) => positionOf(t) <= 5)),
          fc.constantFrom('open' as const, 'closed' as const),
        )
        .map(([list, space]) => list.map((tooth) => ({ tooth, space }))),
      primary: some(teeth.filter((t) => positionOf(t) >= 3 && positionOf(t) <= 5).map((t) => t + 40)),
      unerupted: some(teeth.filter((t) => positionOf(t) === 7)),
      pegs: some(teeth.filter((t) => positionOf(t) === 2)),
      speeMm: fc.oneof(fc.constant(null), step(0, 60, 10)),
      widthFactor: step(800, 1200, 1000),
      noiseMm: step(0, 30, 1000),
      bridgedContacts: fc.boolean(),
      pose: fc.constantFrom('upright' as const, 'any' as const),
      triangles: fc.integer({ min: 20, max: 1000 }).map((n) => n * 1000),
      gumMm: step(20, 100, 10),
    },
    { requiredKeys: ['jaw', 'seed'] },
  );
});

describe('recipeCode', () => {
  it('gives back every recipe on the steps of the sliders, in small letters and with spaces round it too', () => {
    fc.assert(
      fc.property(recipes, (recipe) => {
        const code = recipeCode(recipe);
        expect(code).toMatch(/^[A-Z0-9-]+$/);
        expect(fullRecipe(recipeFromCode(code))).toEqual(fullRecipe(recipe));
        expect(recipeFromCode(`  ${code.toLowerCase()}\n`)).toEqual(recipeFromCode(code));
      }),
      { seed: 11, numRuns: 300 },
    );
  });

  it('is short for what is plain, and holds the shipped samples', () => {
    expect(recipeCode({ jaw: 'lower', seed: 4, crowdingMm: 3.6 })).toMatch(/^A1-L4-C36-Z[0-9A-Z]{4}$/);
    for (const { recipe } of shippedSamples) {
      const back = fullRecipe(recipeFromCode(recipeCode(recipe)));
      const { widthFactor } = fullRecipe(recipe); // of the pair: any number, kept to a thousandth
      expect(Math.abs(back.widthFactor - widthFactor)).toBeLessThan(0.0005);
      expect({ ...back, widthFactor }).toEqual(fullRecipe(recipe));
    }
  });

  it('refuses every code with one sign changed, left out or added', async () => {
    const code = recipeCode({ jaw: 'upper', seed: 512, crowdingMm: 2.4, rotationsDeg: { 14: 20 } });
    const damaged = new Set<string>();
    for (let i = 0; i < code.length; i++) {
      damaged.add(code.slice(0, i) + code.slice(i + 1));
      for (const sign of 'A1ZK-9 ') {
        damaged.add(code.slice(0, i) + sign + code.slice(i + 1));
        damaged.add(code.slice(0, i) + sign + code.slice(i));
      }
    }
    damaged.delete(code);
    for (const text of damaged) {
      if (text.trim() === code) continue;
      const refusal = await refusalOf(() => recipeFromCode(text));
      expect(['field-invalid', 'schema-newer']).toContain(refusal.code);
    }
  });

  it('refuses what is no code, a later version, and what cannot be an arch though its signs fit', async () => {
    for (const text of ['', 'A1', 'hello', 'A1-L4', `A1-L4-${'C1-'.repeat(300)}`, 'A1-L4-C36-Z0000'])
      expect((await refusalOf(() => recipeFromCode(text))).code).toBe('field-invalid');
    expect((await refusalOf(() => recipeFromCode('A2-L4-C36-Z0000'))).code).toBe('schema-newer');
    const cases: readonly ArchRecipe[] = [
      { jaw: 'lower', seed: 1, rotationsDeg: { 14: 10 } },
      { jaw: 'lower', seed: 1, gaps: [{ teeth: [11, 21], gapMm: 1 }] },
    ];
    for (const recipe of cases)
      expect((await refusalOf(() => recipeFromCode(recipeCode(recipe)))).code).toBe('field-invalid');
    expect((await refusalOf(() => recipeCode({ jaw: 'lower', seed: 1, crowdingMm: 40 }))).code).toBe(
      'request-invalid',
    );
  });

  it('never throws anything but a refusal, whatever the text', () => {
    fc.assert(
      fc.property(fc.string({ unit: fc.constantFrom(...'A1LUCSGRDOQKVEYWNBXTHZPM-0369 ') }), (text) => {
        try {
          recipeFromCode(`A1-${text}`);
        } catch (error) {
          expect((error as Error).name).toBe('Refusal');
        }
      }),
      { seed: 3, numRuns: 500 },
    );
  });
});
