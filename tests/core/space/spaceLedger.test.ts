import { describe, expect, it } from 'vitest';
import { archOrder, type Jaw, positionOf, type Tooth } from '../../../src/core/base/tooth.ts';
import type { Vec3 } from '../../../src/core/base/Vec3.ts';
import type { PlacedMark } from '../../../src/core/marks/Mark.ts';
import type { ArchMeasures } from '../../../src/core/measure/ArchMeasures.ts';
import { measureArch } from '../../../src/core/measure/measureArch.ts';
import type { Ledger, PerimeterMethod } from '../../../src/core/space/Ledger.ts';
import { type SpaceInput, spaceLedger } from '../../../src/core/space/spaceLedger.ts';
import { alignedTeeth, crowdedTeeth, ellipseCurve, markArch } from '../../support/markArches.ts';
import { enteredTooth, makeMeasures } from '../../support/measures.ts';

const NO_CHART: SpaceInput['chart'] = { missing: [], unerupted: [], enteredWidths: [] };
const spanned = (jaw: Jaw) => archOrder(jaw).filter((tooth) => positionOf(tooth) <= 5);

/** An arch of entered widths: ten teeth of 7 mm and an arch length of 66 mm. */
const plainMeasures = (change: Partial<ArchMeasures> = {}, without: readonly Tooth[] = []): ArchMeasures =>
  makeMeasures({
    fourSegments: { valueMm: 66, sdMm: 0.4 },
    teeth: spanned('lower')
      .filter((tooth) => !without.includes(tooth))
      .map((tooth) => enteredTooth(tooth, 7, 0.1)),
    ...change,
  });
const account = (change: Partial<SpaceInput> = {}): Ledger =>
  spaceLedger({
    measures: plainMeasures(),
    chart: NO_CHART,
    perimeter: 'four-segments',
    allowances: [],
    ...change,
  });
const entry = (ledger: Ledger, id: string) => ledger.entries.find((e) => e.id === id)!;

describe('the account adds up', () => {
  it('available − required', () => {
    const ledger = account();
    expect(ledger).toMatchObject({ availableMm: 66, requiredMm: 70, differenceMm: -4, missing: [] });
    expect(ledger.sdMm).toBeCloseTo(Math.hypot(0.4, 0.1 * Math.sqrt(10)), 12);
    expect(entry(ledger, 'widths').sdMm).toBeCloseTo(0.1 * Math.sqrt(10), 12);
    expect(ledger.entries.reduce((sum, e) => sum + e.varianceShare!, 0)).toBeCloseTo(1, 12);
  });

  it('with allowances: the entries are signed and sum to the balance', () => {
    const ledger = account({
      allowances: [
        { kind: 'spee', rule: 'spee-baldridge-1969', inputs: { depthRightMm: 2, depthLeftMm: 2 } },
        { kind: 'incisor-position', rule: 'incisor-position', inputs: { advanceMm: 1 } },
        { kind: 'other', rule: 'own', inputs: {}, ownMm: 0.3, ownSdMm: 0.3 },
        { kind: 'other', rule: 'own', inputs: {}, ownMm: -0.1, ownSdMm: 0 },
      ],
    });
    expect(ledger.entries.map((e) => e.id)).toEqual([
      'four-segments',
      'widths',
      'spee',
      'incisor-position',
      'other',
      'other-2',
    ]);
    expect(ledger.differenceMm).toBeCloseTo(-4 - (0.488 * 4 - 0.51) + 2 + 0.3 - 0.1, 12);
    expect(ledger.differenceMm).toBeCloseTo(
      ledger.entries.reduce((sum, e) => sum + e.amountMm!, 0),
      12,
    );
    expect(ledger.requiredMm).toBe(70);
    expect(ledger.sdMm).toBeCloseTo(Math.hypot(0.4, 0.1 * Math.sqrt(10), 0.3), 12);
  });
});

describe('what is missing is said, never zero', () => {
  it('a width', () => {
    const ledger = account({ measures: plainMeasures({}, [34, 41]) });
    expect(entry(ledger, 'widths')).toMatchObject({ amountMm: null, sdMm: null, missing: 'width of 41, 34' });
    expect(ledger).toMatchObject({
      availableMm: 66,
      requiredMm: null,
      differenceMm: null,
      sdMm: null,
      missing: ['width of 41, 34'],
    });
  });

  it('the arch length', () => {
    const ledger = account({ perimeter: 'line' });
    expect(ledger.entries[0]).toMatchObject({ id: 'arch-line', amountMm: null });
    expect(ledger.entries[0].missing).toMatch(/arch line/);
    expect(ledger.differenceMm).toBeNull();
    expect(ledger.requiredMm).toBe(70);
  });

  it('an allowance', () => {
    const ledger = account({ allowances: [{ kind: 'spee', rule: 'spee-garcia-1985', inputs: {} }] });
    expect(entry(ledger, 'spee').amountMm).toBeNull();
    expect(ledger.differenceMm).toBeNull();
  });
});

describe('the tooth chart', () => {
  it('a missing tooth takes no space, unless a width is entered to keep it', () => {
    const measures = plainMeasures({}, [42]);
    const closed = account({ measures, chart: { ...NO_CHART, missing: [42] } });
    expect(closed).toMatchObject({ requiredMm: 63, differenceMm: 3 });
    expect(entry(closed, 'widths').note).toBe('no space kept for missing 42');
    const kept = account({
      measures,
      chart: { ...NO_CHART, missing: [42], enteredWidths: [{ tooth: 42, widthMm: 5.5, sdMm: 0.2 }] },
    });
    expect(kept.requiredMm).toBe(68.5);
  });

  it('unerupted teeth count by prediction, with the errors they share', () => {
    const gone = [43, 44, 45, 33, 34, 35];
    const incisorsMm = 23;
    const measures = plainMeasures({
      teeth: [42, 41, 31, 32].map((tooth) => enteredTooth(tooth, incisorsMm / 4, 0.1)),
    });
    const chart = { ...NO_CHART, unerupted: gone };
    expect(account({ measures, chart }).differenceMm).toBeNull();
    const ledger = account({ measures, chart, prediction: { method: 'regression', id: 'tanaka-johnston' } });
    // Tanaka & Johnston 1974: 23/2 + 10.5 a side.
    expect(entry(ledger, 'widths-predicted').amountMm).toBeCloseTo(-44, 10);
    expect(ledger.requiredMm).toBeCloseTo(67, 10);
    // Both sides hang on the same incisors (0.5 each) and err together (0.85 each): −(1 + 1) × incisors − 2 × 0.85.
    expect(ledger.sdMm).toBeCloseTo(Math.hypot(0.4, 2 * 0.1 * 2, 2 * 0.85), 10);
  });

  it('upper widths are predicted from the lower incisors of the other arch', () => {
    const upperTeeth = [12, 11, 21, 22, 23, 24, 25].map((tooth) => enteredTooth(tooth, 7, 0.1));
    const input: SpaceInput = {
      measures: makeMeasures({ jaw: 'upper', sixSegments: { valueMm: 75, sdMm: 0.3 }, teeth: upperTeeth }),
      chart: { ...NO_CHART, unerupted: [13, 14, 15] },
      perimeter: 'six-segments',
      allowances: [],
      prediction: { method: 'moyers', percentile: 75 },
    };
    expect(spaceLedger(input).missing).toEqual([
      expect.stringMatching(/^width of 42, 41, 31, 32 \(lower incisors/),
    ]);
    const opposing = makeMeasures({ teeth: [42, 41, 31, 32].map((tooth) => enteredTooth(tooth, 5.5, 0.1)) });
    const ledger = spaceLedger({ ...input, opposing });
    // Moyers 75 %, incisors 22.0: 22.0 mm upper.
    expect(ledger.requiredMm).toBeCloseTo(49 + 22, 10);
    expect(ledger.differenceMm).toBeCloseTo(75 - 71, 10);
  });
});

describe('where the figures come from', () => {
  it('each width brings its own error', () => {
    const sds = [0.05, 0.3, 0.1, 0.2];
    const teeth = [42, 41, 31, 32].map((tooth, i) => enteredTooth(tooth, 5, sds[i]));
    const missing = spanned('lower').filter((tooth) => positionOf(tooth) > 2);
    const ledger = account({ measures: plainMeasures({ teeth }), chart: { ...NO_CHART, missing } });
    expect(entry(ledger, 'widths').sdMm).toBeCloseTo(Math.hypot(...sds), 12);
    expect(ledger.sdMm).toBeCloseTo(Math.hypot(0.4, ...sds), 12);
  });

  it('a width that was measured holds over one entered for the same tooth', () => {
    const enteredWidths = [{ tooth: 31, widthMm: 9, sdMm: 0.5 }];
    const ledger = account({ chart: { ...NO_CHART, enteredWidths } });
    expect(ledger.requiredMm).toBe(70);
    expect(ledger.sdMm).toBe(account().sdMm);
    // Of no tooth but the one it was entered for.
    const other = account({ measures: plainMeasures({}, [31]), chart: { ...NO_CHART, enteredWidths } });
    expect(other.requiredMm).toBe(72);
  });

  it('names who measured and who entered, and the teeth each figure rests on', () => {
    const marked = (tooth: Tooth) => ({ ...enteredTooth(tooth, 7, 0.1), mesialMm: [0, 0, 0] as const });
    const of = (teeth: ArchMeasures['teeth']) => account({ measures: plainMeasures({ teeth }) });
    const all = [47, 46, ...spanned('lower'), 36, 37].map(marked);
    const measured = of(all);
    expect(entry(measured, 'widths').source).toMatchObject({ standing: 'measured' });
    expect(entry(measured, 'widths').source.text).not.toMatch(/by hand/);
    expect(entry(measured, 'widths').evidenceTeeth).toEqual(spanned('lower'));
    // Arch lengths end at the first molars' mesial points.
    expect(measured.entries[0].evidenceTeeth).toEqual([46, ...spanned('lower'), 36]);

    expect(entry(account(), 'widths').source.standing).toBe('user');
    expect(account().entries[0].evidenceTeeth).toEqual([]);

    const mixed = of(all.map((t) => (t.tooth === 34 || t.tooth === 46 ? enteredTooth(t.tooth, 7, 0.1) : t)));
    expect(entry(mixed, 'widths').source).toMatchObject({
      standing: 'measured',
      text: expect.stringMatching(/; 34 entered by hand$/),
    });
    expect(mixed.entries[0].evidenceTeeth).toEqual([45, 44, 43, 42, 41, 31, 32, 33, 35, 36]);
  });

  it('what is measured is not edited in the account, what is chosen is', () => {
    const ledger = account({
      measures: plainMeasures({}, [35]),
      chart: { ...NO_CHART, unerupted: [35] },
      prediction: { method: 'antimere' },
      allowances: [{ kind: 'other', rule: 'own', inputs: {}, ownMm: 0.3 }],
    });
    expect(entry(ledger, 'widths-predicted').amountMm).toBe(-7); // as wide as 45
    expect(ledger.entries.map(({ id, editable }) => [id, editable])).toEqual([
      ['four-segments', false],
      ['widths', false],
      ['widths-predicted', true],
      ['other', true],
    ]);
  });

  it('warns of straight segments; of the arch line it says what straight teeth cannot use', () => {
    const own = { length: { valueMm: 66, sdMm: 0.3 }, chordExcessMm: 0.25 } as ArchMeasures['line'];
    const line = makeMeasures({ line: own }).line;
    expect(account().entries[0].note).toMatch(/by millimetres/);
    expect(account({ perimeter: 'six-segments' }).entries[0].note).toMatch(/by millimetres/);
    const byLine = account({ measures: plainMeasures({ line }), perimeter: 'line' });
    expect(byLine.availableMm).toBe(65.75);
    expect(byLine.entries[0].amountMm).toBe(65.75);
    expect(byLine.entries[0].note).toMatch(/^66.00 mm, less 0.25 mm that its curve adds/);
  });

  it('parts of the variance are known only where the balance is, and where something errs', () => {
    const shares = (ledger: Ledger) => ledger.entries.map((e) => e.varianceShare);
    expect(shares(account())[0]).toBeCloseTo(0.16 / (0.16 + 0.1), 12);
    expect(shares(account({ measures: plainMeasures({}, [34]) }))).toEqual([null, null]);
    const exact = account({
      measures: plainMeasures({
        fourSegments: { valueMm: 66, sdMm: 0 },
        teeth: spanned('lower').map((tooth) => enteredTooth(tooth, 7, 0)),
      }),
    });
    expect(exact.sdMm).toBe(0);
    expect(shares(exact)).toEqual([null, null]);
  });

  it('no tooth at all needs no space: 0, without a sign', () => {
    const measures = plainMeasures({ teeth: [] });
    const ledger = account({ measures, chart: { ...NO_CHART, missing: spanned('lower') } });
    expect(ledger.requiredMm).toBe(0);
    expect(entry(ledger, 'widths').amountMm).toBe(0);
    expect(ledger.differenceMm).toBe(66);
  });

  it('only teeth that are gone are named as gone, and the count is of teeth that need space', () => {
    expect(entry(account(), 'widths').note).toBeNull();
    expect(entry(account(), 'widths').what).toMatch(/of 10 teeth/);
    const unknown = account({ measures: plainMeasures({}, [34, 41]) });
    expect(entry(unknown, 'widths').what).toMatch(/of 10 teeth/); // two of them not measured yet
    const gone = account({ measures: plainMeasures({}, [34]), chart: { ...NO_CHART, missing: [34, 46] } });
    expect(entry(gone, 'widths').what).toMatch(/of 9 teeth/);
    expect(entry(gone, 'widths').note).toBe('no space kept for missing 34');
  });
});

describe('predicted teeth of both sides', () => {
  const prediction = { method: 'regression', id: 'tanaka-johnston' } as const;
  const incisors = [42, 41, 31, 32].map((tooth) => enteredTooth(tooth, 23 / 4, 0.1));

  it('each side has its own teeth: what has erupted on one takes nothing from the other', () => {
    // Tanaka & Johnston 1974: 23/2 + 10.5 = 22 mm a side; on the right 44 (7.1 mm) stands already.
    const measures = plainMeasures({ teeth: [enteredTooth(44, 7.1, 0.1), ...incisors] });
    const ledger = account({
      measures,
      chart: { ...NO_CHART, unerupted: [45, 43, 33, 34, 35] },
      prediction,
    });
    expect(entry(ledger, 'widths-predicted').amountMm).toBeCloseTo(-(22 - 7.1) - 22, 10);
    expect(ledger.requiredMm).toBeCloseTo(23 + 44, 10);
    expect(entry(ledger, 'widths-predicted').note).toMatch(/two sides/);
    expect([...entry(ledger, 'widths-predicted').evidenceTeeth].sort()).toEqual([31, 32, 41, 42, 44]);
    expect(entry(ledger, 'widths-predicted').source.standing).toBe('secondary');
    // 44 is measured and taken off the prediction of its side: its error drops out.
    expect(ledger.sdMm).toBeCloseTo(Math.hypot(0.4, 0.1 * 2 * 2, 2 * 0.85), 10);
  });

  it('of one side alone nothing is said of two', () => {
    const measures = plainMeasures({}, [33, 34, 35]);
    const ledger = account({ measures, chart: { ...NO_CHART, unerupted: [33, 34, 35] }, prediction });
    expect(entry(ledger, 'widths-predicted').note).toBeNull();
  });

  it('where one side cannot be predicted, neither the need nor the balance is known', () => {
    // 43 is there to tell 33, but nothing tells 44.
    const ledger = account({
      measures: plainMeasures({}, [44, 34, 33]),
      chart: { ...NO_CHART, unerupted: [44, 34, 33] },
      prediction: { method: 'antimere' },
    });
    expect(entry(ledger, 'widths').amountMm).toBe(-49);
    expect(entry(ledger, 'widths-predicted').amountMm).toBeNull();
    expect(ledger).toMatchObject({ requiredMm: null, differenceMm: null, sdMm: null });
    expect(ledger.missing.join()).toMatch(/44.*34/);
    expect(entry(ledger, 'widths-predicted').source.standing).toBe('user');
  });

  it('widths of the other arch lend themselves to a prediction and count in no sum', () => {
    const opposing = makeMeasures({ jaw: 'upper', teeth: [enteredTooth(11, 8.5, 0.1)] });
    expect(account({ opposing }).requiredMm).toBe(70);
  });
});

describe('against measured arches', () => {
  const curve = ellipseCurve(26, 38);
  const arch = (teeth: ReturnType<typeof alignedTeeth>) =>
    markArch({ jaw: 'lower', curve, limit: 1.5, teeth, markSdMm: 0.1 });

  it('an aligned arch has no shortage but the bow of each tooth between arc and chord', () => {
    const { input, truth } = arch(alignedTeeth('lower'));
    const ledger = spaceLedger({
      measures: measureArch(input),
      chart: NO_CHART,
      perimeter: 'line',
      allowances: [],
    });
    const widths = spanned('lower').reduce((sum, tooth) => sum + truth.widthsMm.get(tooth)!, 0);
    expect(ledger.requiredMm).toBeCloseTo(widths, 6);
    // Arc less chords of the true curve is 0.24 mm; the fitted line follows the curve within 0.3 mm.
    expect(Math.abs(ledger.differenceMm! - (truth.lineLengthMm - widths))).toBeLessThan(0.3);
  });

  // Second way: the balance itself, remeasured with every contact point moved a little along every axis.
  it('SD of the balance by every perimeter, correlations included, against moving each mark', () => {
    const { input } = arch(crowdedTeeth('lower', 3, 5));
    const measures = measureArch(input);
    const methods: readonly PerimeterMethod[] = ['line', 'four-segments', 'six-segments'];
    const balances = (measured: ArchMeasures) =>
      methods.map(
        (perimeter) =>
          spaceLedger({ measures: measured, chart: NO_CHART, perimeter, allowances: [] }).differenceMm!,
      );
    const variances = [0, 0, 0];
    for (const mark of measures.gradients) {
      const slopes = [0, 1, 2].map((axis) => {
        const [above, below] = [1, -1].map((sign) =>
          balances(measureArch({ ...input, marks: movedMark(input.marks, mark, axis, sign * STEP_MM) })),
        );
        return methods.map((_, k) => (above[k] - below[k]) / (2 * STEP_MM));
      });
      methods.forEach((_, k) => {
        const slope = slopes.map((axis) => axis[k]);
        const along = slope.reduce((sum, x, axis) => sum + x * mark.mesiodistal![axis], 0);
        const whole = slope.reduce((sum, x) => sum + x * x, 0);
        variances[k] += mark.sdAcrossMm ** 2 * (whole - along ** 2) + mark.sdAlongMm ** 2 * along ** 2;
      });
    }
    // the arch line errs from teeth standing off it as well, whatever the marks do
    variances[0] += measures.line!.scatterSdMm ** 2;
    methods.forEach((perimeter, k) => {
      const ledger = spaceLedger({ measures, chart: NO_CHART, perimeter, allowances: [] });
      expect(Math.abs(ledger.sdMm! / Math.sqrt(variances[k]) - 1), perimeter).toBeLessThan(1e-3);
      // Without the correlation the two entries alone would give another SD.
      const apart = Math.hypot(...ledger.entries.map((e) => e.sdMm!));
      expect(Math.abs(ledger.sdMm! / apart - 1), perimeter).toBeGreaterThan(
        perimeter === 'line' ? 0.002 : 0.005,
      );
    });
  });
});

const STEP_MM = 0.003;

const movedMark = (
  marks: readonly PlacedMark[],
  { tooth, site }: Pick<PlacedMark, 'tooth' | 'site'>,
  axis: number,
  byMm: number,
): readonly PlacedMark[] =>
  marks.map((mark) => {
    if (mark.tooth !== tooth || mark.site !== site) return mark;
    const moved = mark.pointMm.map((x, i) => (i === axis ? x + byMm : x));
    return { ...mark, pointMm: moved as unknown as Vec3 };
  });
