import { contactsOf, positionOf, type Tooth } from '../../src/core/base/tooth.ts';
import { add, cross, normalize, scale, type Vec3 } from '../../src/core/base/Vec3.ts';
import { DEFAULT_MARK_SD_MM } from '../../src/core/casefile/newCase.ts';
import type { PlacedMark } from '../../src/core/marks/Mark.ts';
import { measureArch } from '../../src/core/measure/measureArch.ts';
import { type CuttingHabit, spreadMm } from '../../src/core/reduction/cuttingHabit.ts';
import { planReduction } from '../../src/core/reduction/planReduction.ts';
import type { ReductionPlan, ReductionRequest } from '../../src/core/reduction/ReductionPlan.ts';
import { reductionRequest } from '../../src/core/reduction/reductionRequest.ts';
import { remeasuredForecast } from '../../src/core/reduction/remeasuredForecast.ts';
import type { Ledger } from '../../src/core/space/Ledger.ts';
import { spaceLedger } from '../../src/core/space/spaceLedger.ts';
import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { archTruth } from '../../src/samples/archTruth.ts';
import { arrangeTeeth } from '../../src/samples/arrangeTeeth.ts';
import { fullRecipe } from '../../src/samples/fullRecipe.ts';
import type { SampleTruth } from '../../src/samples/sampleTruth.ts';
import { seeded } from './markArches.ts';

// From a crowded arch to the space left at the end: mark, account, plan, cut with error, measure again. The only way
// in for the truth is to place the marks, to say how much was cut, and to judge the end.

/** One crowded arch to be treated. */
export interface Patient {
  readonly seed: number;
  readonly recipe: ArchRecipe;
  readonly crowdingMm: number;
}

/** Arches from seed on, upper and lower by turns, short by 1 to 4.5 mm. */
export function patients(count: number, fromSeed = 40_001): readonly Patient[] {
  return Array.from({ length: count }, (_, i) => {
    const seed = fromSeed + i;
    const crowdingMm = 1 + 3.5 * seeded(seed).uniform();
    return { seed, crowdingMm, recipe: { jaw: i % 2 ? 'upper' : 'lower', seed, crowdingMm } };
  });
}

/** How a hand cuts, and how alike two operators are. */
export interface Cutter {
  readonly name: string;
  readonly ratio: number; // performed ÷ planned, mean of operators
  readonly ratioSd: number; // between operators
  readonly sdMm: number; // of one cut of 0.3 mm, its variance growing with the planned amount
}

/** Spread between operators of one kind; ours. */
const OPERATORS_SD = 0.1;

export const CUTTERS: readonly Cutter[] = [
  // Half of the plan, SD 0.15 mm per tooth: rounded from De Felice 2020, Kalemaj & Levrini 2021, Hariharan 2022, Weir 2021.
  { name: 'as most studies found (half, SD 0.15 mm)', ratio: 0.5, ratioSd: OPERATORS_SD, sdMm: 0.15 },
  // Laganà 2021: no shortfall on average; SD per tooth as Kalemaj & Levrini 2021.
  { name: 'as one study found (all, SD 0.14 mm)', ratio: 1, ratioSd: OPERATORS_SD, sdMm: 0.14 },
  // Assumed, no source: every contact checked with a gauge.
  {
    name: 'gauge passed at every contact (assumed: 95 %, SD 0.05 mm)',
    ratio: 0.95,
    ratioSd: 0.05,
    sdMm: 0.05,
  },
];

/** Marks at the true contact points, off by 0.05 mm SD along the tooth (0.08 where displaced) and twice that across. */
const MARK_SD_MM = 0.05;
const CROWDED_ADDS_MM = 0.03;
const CROWDED_AT_MM = 1.5; // displacement at which the whole is added
const ACROSS = 2;

function noisyMarks(truth: SampleTruth, normal: () => number): readonly PlacedMark[] {
  const displaced = (tooth: Tooth, site: 'mesial' | 'distal'): number => {
    const contact = truth.contacts.find(
      ({ teeth }) =>
        teeth.includes(tooth) &&
        (site === 'mesial') ===
          teeth.every((t) => t === tooth || positionOf(t) < positionOf(tooth) || isAcross(teeth)),
    );
    return Math.min(1, (contact?.displacementMm ?? 0) / CROWDED_AT_MM);
  };
  const isAcross = (teeth: readonly Tooth[]): boolean => teeth.every((t) => positionOf(t) === 1);
  return truth.teeth.flatMap(({ tooth, mesialMm, distalMm, mesiodistalAxis }) =>
    (['mesial', 'distal'] as const).map((site): PlacedMark => {
      const sd = MARK_SD_MM + CROWDED_ADDS_MM * displaced(tooth, site);
      const along = normalize(mesiodistalAxis);
      const sideways = normalize(cross(along, truth.frame.occlusal));
      const upward = cross(sideways, along);
      let pointMm: Vec3 = site === 'mesial' ? mesialMm : distalMm;
      pointMm = add(pointMm, scale(along, sd * normal()));
      pointMm = add(pointMm, scale(sideways, ACROSS * sd * normal()));
      pointMm = add(pointMm, scale(upward, ACROSS * sd * normal()));
      return { tooth, site, pointMm, state: 'confirmed', confidence: null };
    }),
  );
}

/**
 * The arch as it stands when `cutMm` of enamel are gone: the same teeth, so much less crowded, or spaced. The space is
 * right; that the room came from narrower teeth and not from a longer line is left out.
 */
export function truthAfter({ recipe, crowdingMm }: Patient, cutMm: number): SampleTruth {
  const leftMm = crowdingMm - cutMm;
  const now: ArchRecipe =
    leftMm >= 0 ? { ...recipe, crowdingMm: leftMm } : { ...recipe, crowdingMm: 0, spacingMm: -leftMm };
  const full = fullRecipe(now);
  const pose = { x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1], originMm: [0, 0, 0] } as const;
  return archTruth(full, arrangeTeeth(full), pose, null);
}

function account(truth: SampleTruth, normal: () => number): Ledger {
  const measures = measureArch({
    jaw: truth.jaw,
    frame: truth.frame,
    marks: noisyMarks(truth, normal),
    missing: [],
    enteredWidths: [],
    form: 'spline',
    markSdMm: DEFAULT_MARK_SD_MM,
    medianEdgeMm: 0.2,
  });
  const chart = { missing: [], unerupted: [], enteredWidths: [] };
  return spaceLedger({ measures, chart, perimeter: 'line', allowances: [] });
}

/** The plan for what the account says is short; a round may use each contact to its limit, less what is gone there. */
function planned(truth: SampleTruth, ledger: Ledger, goneMm: ReadonlyMap<string, number>) {
  const teeth = truth.teeth.map(({ tooth }) => tooth);
  const contacts = contactsOf(teeth).map((contact) => {
    const each = (goneMm.get(String(contact)) ?? 0) / 2;
    return {
      teeth: contact,
      limitMm: Math.max(0, 0.5 - 2 * each),
      limitReason: '',
      surfaceLimitsMm: [null, null] as const,
      earlierReductionMm: [each, each] as const,
      lock: null,
      reachableFromVisit: 1,
    };
  });
  const { request } = reductionRequest({
    jaw: truth.jaw,
    ledger,
    present: teeth,
    settings: { neededMm: null, stepMm: 0.1, overshootRisk: 0.05, visits: 1, perVisitLimitMm: 0.5, contacts },
  });
  return { request, plan: planReduction(request) };
}

/** Enamel really taken, added to `goneMm`; returned in sum. */
function cut(
  plan: ReductionPlan,
  part: 'all' | 'committed',
  hand: { readonly ratio: number; readonly sdMm: number },
  normal: () => number,
  goneMm: Map<string, number>,
): number {
  let sum = 0;
  for (const { teeth, totalMm, heldBackMm } of plan.contacts) {
    const mm = part === 'all' ? totalMm : totalMm - heldBackMm;
    if (mm < 1e-9) continue;
    const taken = Math.max(0, hand.ratio * mm + hand.sdMm * Math.sqrt(mm / 0.3) * normal());
    goneMm.set(String(teeth), (goneMm.get(String(teeth)) ?? 0) + taken);
    sum += taken;
  }
  return sum;
}

/** How the treatment of one patient ended, by the number of re-measurements. */
export interface Ending {
  readonly remeasurements: number;
  readonly residualMm: number; // true space left: positive a gap, negative jamming
  readonly cutMm: number;
}

export interface Treated {
  readonly patient: Patient;
  /** Each account's space difference: measured − true, and the SD it states; the first is of the untouched arch. */
  readonly accounts: readonly { readonly errorMm: number; readonly sdMm: number }[];
  readonly endings: readonly Ending[];
  readonly request: ReductionRequest; // the first
  readonly plan: ReductionPlan;
}

/**
 * Treats a patient: with 0 re-measurements everything planned is cut at once; with k, the commitment of each account
 * is cut in k rounds, and after the last re-measurement everything it asks for. All endings share the first rounds.
 * `untouched` is the arch before anything is cut, which several hands may begin with.
 */
export function treat(
  patient: Patient,
  cutter: Cutter,
  most: number,
  untouched: SampleTruth = truthAfter(patient, 0),
): Treated {
  const markNoise = seeded(patient.seed * 3 + 1).normal;
  const handNoise = seeded(patient.seed * 3 + 2).normal;
  const hand = {
    ratio: Math.max(0.1, cutter.ratio + cutter.ratioSd * handNoise()),
    sdMm: cutter.sdMm,
  };
  const goneMm = new Map<string, number>();
  const endings: Ending[] = [];
  let cutMm = 0;
  const accounts: Treated['accounts'][number][] = [];
  let first: Pick<Treated, 'request' | 'plan'> | null = null;
  for (let k = 0; k <= most; k++) {
    const truth = k === 0 ? untouched : truthAfter(patient, cutMm);
    const ledger = account(truth, markNoise);
    const { request, plan } = planned(truth, ledger, goneMm);
    first ??= { request, plan };
    accounts.push({ errorMm: ledger.differenceMm! - truth.space.differenceMm, sdMm: ledger.sdMm! });
    const last = cut(plan, 'all', hand, handNoise, new Map(goneMm));
    endings.push({
      remeasurements: k,
      residualMm: cutMm + last - patient.crowdingMm,
      cutMm: cutMm + last,
    });
    if (k < most) cutMm += cut(plan, 'committed', hand, handNoise, goneMm);
  }
  return { patient, endings, accounts, ...first! };
}

/** Rates over treated patients for one number of re-measurements; shares 0–1. */
export interface EndingRates {
  readonly remeasurements: number;
  readonly meanMm: number;
  readonly sdMm: number;
  readonly gap: readonly number[]; // beyond 0.1 and 0.3 mm
  readonly jam: readonly number[];
  readonly cutMm: number;
}

const THRESHOLDS_MM = [0.1, 0.3] as const;
const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;

export function endingRates(treated: readonly Treated[]): readonly EndingRates[] {
  return treated[0].endings.map(({ remeasurements }, k) => {
    const residuals = treated.map(({ endings }) => endings[k].residualMm);
    const meanMm = mean(residuals);
    return {
      remeasurements,
      meanMm,
      sdMm: Math.sqrt(mean(residuals.map((r) => (r - meanMm) ** 2))),
      gap: THRESHOLDS_MM.map((t) => mean(residuals.map((r) => (r > t ? 1 : 0)))),
      jam: THRESHOLDS_MM.map((t) => mean(residuals.map((r) => (r < -t ? 1 : 0)))),
      cutMm: mean(treated.map(({ endings }) => endings[k].cutMm)),
    };
  });
}

/** What the forecast would have said of the same patients, averaged, for an operator whose kind of hand is known. */
export function forecastRates(treated: readonly Treated[], cutter: Cutter): readonly EndingRates[] {
  const spread = cutter.sdMm ** 2 / 0.3;
  const shape = 1000;
  const habit: CuttingHabit = {
    ratio: cutter.ratio,
    weightMm: spread / cutter.ratioSd ** 2,
    shape,
    rateMm: spread * (shape - 1),
  };
  if (Math.abs(spreadMm(habit) - spread) > 1e-12)
    throw new Error('forecastRates: the habit is not the cutter.');
  const most = treated[0].endings.length - 1;
  const all = treated.map(({ plan, request, accounts }) =>
    remeasuredForecast(plan, request, {
      habit,
      remeasureSdMm: accounts[1]?.sdMm ?? request.neededSdMm,
      most,
    }),
  );
  return Array.from({ length: most + 1 }, (_, k) => ({
    remeasurements: k,
    meanMm: mean(all.map((one) => one[k].residualMeanMm)),
    sdMm: Math.sqrt(mean(all.map((one) => one[k].residualSdMm ** 2))),
    gap: [0, 1].map((i) => mean(all.map((one) => one[k].chances[i].chanceGap))),
    jam: [0, 1].map((i) => mean(all.map((one) => one[k].chances[i].chanceJam))),
    cutMm: mean(all.map((one) => one[k].cutInAllMm)),
  }));
}

/** How often the stated interval of the space difference holds the truth, for the usual levels. */
export interface Coverage {
  readonly n: number;
  readonly meanErrorMm: number;
  readonly rmsErrorMm: number;
  readonly statedSdMm: number; // RMS of the stated SDs
  readonly within: readonly { readonly level: number; readonly share: number }[];
}

const LEVELS = [
  [0.5, 0.6745],
  [0.8, 1.2816],
  [0.95, 1.96],
] as const; // R: qnorm((1 + level) / 2)

/** Of the accounts after so many rounds of cutting; 0 is the untouched arch. */
export function coverage(treated: readonly Treated[], round = 0): Coverage {
  const accounts = treated.map((t) => t.accounts[round]);
  return {
    n: accounts.length,
    meanErrorMm: mean(accounts.map((a) => a.errorMm)),
    rmsErrorMm: Math.sqrt(mean(accounts.map((a) => a.errorMm ** 2))),
    statedSdMm: Math.sqrt(mean(accounts.map((a) => a.sdMm ** 2))),
    within: LEVELS.map(([level, z]) => ({
      level,
      share: mean(accounts.map((a) => (Math.abs(a.errorMm) <= z * a.sdMm ? 1 : 0))),
    })),
  };
}
