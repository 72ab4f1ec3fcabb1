import { Refusal } from '../base/refusal.ts';
import type { Contact, Jaw } from '../base/tooth.ts';
import { distance } from '../base/Vec3.ts';
import { markKey, type PlacedMark } from '../marks/Mark.ts';
import type { ArchMeasures } from '../measure/ArchMeasures.ts';
import { planOfOwnAmounts } from '../reduction/ownAmounts.ts';
import { planReduction } from '../reduction/planReduction.ts';
import type { ReductionPlan } from '../reduction/ReductionPlan.ts';
import { type ArchAccount, archAccount, recordMeasures } from './archAccount.ts';
import type { ArchRecord, CaseDocument, PlanSettings } from './CaseDocument.ts';

/** One thing that is not the same in two states of a case. Null: it was not there. */
export interface CaseChange {
  readonly jaw: Jaw | null; // null: the case as a whole
  readonly about: 'case' | 'scan' | 'marks' | 'widths' | 'account' | 'settings' | 'plan' | 'visits';
  readonly what: string;
  readonly before: string | null;
  readonly after: string | null;
}

/** Changes below this are rounding and not told; mm. */
const TOLD_MM = 0.005;

/**
 * What changed between two states of a case, in words: marks, widths, balance, settings, amounts of the plan, visits.
 *
 * Units:    mm in the words.
 * Shape:    two equal states have no changes; exchanging the two exchanges before and after.
 * Refuses:  nothing; an arch whose marks contradict each other has no numbers to compare.
 * Accuracy: exchanged states and each kind of change by hand — tests/core/casefile/caseChanges.test.ts.
 */
export function caseChanges(before: CaseDocument, after: CaseDocument): readonly CaseChange[] {
  const whole = (what: string, a: string, b: string): CaseChange[] =>
    a === b ? [] : [{ jaw: null, about: 'case', what, before: a || null, after: b || null }];
  return [
    ...whole('Title', before.title, after.title),
    ...whole('Tooth numbers', before.notation, after.notation),
    ...whole('Norm of the tooth-size ratio', before.ratioNorm, after.ratioNorm),
    ...whole('Arches planned', togetherText(before), togetherText(after)),
    ...whole('Forecast cut', before.cutting ?? 'as-planned', after.cutting ?? 'as-planned'),
    ...whole('Caliper widths', caliperText(before), caliperText(after)),
    ...(['upper', 'lower'] as const).flatMap((jaw) =>
      archChanges(jaw, before.arches[jaw], after.arches[jaw]),
    ),
  ];
}

const caliperText = ({ caliper = [] }: CaseDocument): string =>
  caliper.map(({ tooth, widthMm }) => `${tooth} ${mm(widthMm)}`).join(', ');

function togetherText({ together }: CaseDocument): string {
  if (!together?.isOn) return 'each by itself';
  const { ratios, target, own, extraMm } = together;
  const bands = (['overall', 'anterior'] as const).flatMap((kind) =>
    target === 'own' && own[kind] ? [`${kind} ${own[kind].lowPercent} to ${own[kind].highPercent} %`] : [],
  );
  const extra = `at most ${mm(extraMm.upper)} (upper) and ${mm(extraMm.lower)} (lower) beyond the need`;
  return ['both together', `${ratios} ratio`, target, ...bands, extra].join(', ');
}

function archChanges(jaw: Jaw, before: ArchRecord | null, after: ArchRecord | null): readonly CaseChange[] {
  if (before === after) return [];
  const change = (
    about: CaseChange['about'],
    what: string,
    a: string | null,
    b: string | null,
  ): CaseChange[] => (a === b ? [] : [{ jaw, about, what, before: a, after: b }]);
  const scan = change('scan', 'Scan', before?.scan.file ?? null, after?.scan.file ?? null);
  if (!before || !after || before.scan.sha256 !== after.scan.sha256)
    return scan.length > 0
      ? scan
      : [
          {
            jaw,
            about: 'scan',
            what: 'Scan',
            before: 'another scan of this name',
            after: after?.scan.file ?? null,
          },
        ];
  const [was, is] = [numbersOf(before), numbersOf(after)];
  return [
    ...change('scan', 'Arch frame', JSON.stringify(before.frame), JSON.stringify(after.frame)).map((one) => ({
      ...one,
      before: before.frameSource,
      after: `${after.frameSource}, turned or moved`,
    })),
    ...markChanges(jaw, activeMarks(before), activeMarks(after)),
    ...widthChanges(jaw, was.measures, is.measures),
    ...change('account', 'Space available − required', balanceText(was), balanceText(is)),
    ...change('settings', 'Teeth missing or unerupted', chartText(before), chartText(after)),
    ...change(
      'settings',
      'Arch line',
      `${before.form}, ${before.perimeter}`,
      `${after.form}, ${after.perimeter}`,
    ),
    ...change('settings', 'Allowances', listText(before.allowances), listText(after.allowances)),
    ...settingChanges(before.plan, after.plan).flatMap(([what, a, b]) => change('settings', what, a, b)),
    ...planChanges(jaw, was.plan, is.plan),
    ...visitChanges(jaw, before, after),
  ];
}

const activeMarks = (record: ArchRecord): readonly PlacedMark[] =>
  record.readings[record.activeReading].marks;

interface Numbers {
  readonly measures: ArchMeasures | null;
  readonly account: ArchAccount | null;
  readonly plan: ReductionPlan | null;
}

/** Marks that contradict each other, or an account that is not complete, give no numbers. */
function numbersOf(record: ArchRecord): Numbers {
  const measures = orNull(() => recordMeasures(record, undefined, []));
  const account = measures && orNull(() => archAccount(record, measures));
  const asked = account?.asked ?? null;
  const plan =
    asked &&
    orNull(() =>
      record.ownTenths
        ? planOfOwnAmounts(record.ownTenths, asked).plan
        : planReduction(asked.request, { midline: record.plan.midline ?? null }),
    );
  return { measures, account, plan };
}

function orNull<T>(work: () => T): T | null {
  try {
    return work();
  } catch (error) {
    if (error instanceof Refusal) return null;
    throw error;
  }
}

const mm = (value: number): string => `${value.toFixed(2).replace('-', '\u2212')} mm`;
const pair = (teeth: Contact): string => `${teeth[0]}–${teeth[1]}`;

function markChanges(
  jaw: Jaw,
  before: readonly PlacedMark[],
  after: readonly PlacedMark[],
): readonly CaseChange[] {
  const earlier = new Map(before.map((mark) => [markKey(mark), mark]));
  const later = new Map(after.map((mark) => [markKey(mark), mark]));
  const name = (mark: PlacedMark): string => `Mark ${mark.tooth} ${mark.site}`;
  const rows: CaseChange[] = [];
  for (const [key, mark] of later) {
    const old = earlier.get(key);
    if (!old) {
      rows.push({ jaw, about: 'marks', what: name(mark), before: null, after: mark.state });
      continue;
    }
    const movedMm = distance(old.pointMm, mark.pointMm);
    if (movedMm >= TOLD_MM)
      rows.push({ jaw, about: 'marks', what: name(mark), before: old.state, after: `moved ${mm(movedMm)}` });
    else if (old.state !== mark.state)
      rows.push({ jaw, about: 'marks', what: name(mark), before: old.state, after: mark.state });
  }
  for (const [key, mark] of earlier)
    if (!later.has(key))
      rows.push({ jaw, about: 'marks', what: name(mark), before: mark.state, after: null });
  return rows;
}

function widthChanges(
  jaw: Jaw,
  before: ArchMeasures | null,
  after: ArchMeasures | null,
): readonly CaseChange[] {
  const widths = (measures: ArchMeasures | null) =>
    new Map((measures?.teeth ?? []).map((measure) => [measure.tooth, measure.widthMm]));
  const [was, is] = [widths(before), widths(after)];
  return [...new Set([...was.keys(), ...is.keys()])].flatMap((tooth): CaseChange[] => {
    const [a, b] = [was.get(tooth), is.get(tooth)];
    if (a !== undefined && b !== undefined && Math.abs(a - b) < TOLD_MM) return [];
    return [
      {
        jaw,
        about: 'widths',
        what: `Width ${tooth}`,
        before: a === undefined ? null : mm(a),
        after: b === undefined ? null : mm(b),
      },
    ];
  });
}

function balanceText({ account }: Numbers): string | null {
  const difference = account?.ledger.differenceMm ?? null;
  return difference === null ? null : `${mm(difference)} (SD ${(account?.ledger.sdMm ?? 0).toFixed(2)})`;
}

const chartText = ({ chart }: ArchRecord): string =>
  [
    ...chart.missing.map((tooth) => `${tooth} missing`),
    ...chart.unerupted.map((tooth) => `${tooth} unerupted`),
    ...(chart.primary ?? []).map((tooth) => `${tooth} stands`),
    ...chart.thirdMolars.map((tooth) => `${tooth} counted`),
    ...chart.enteredWidths.map(({ tooth, widthMm }) => `${tooth} entered as ${mm(widthMm)}`),
  ].join(', ') || 'none';

const listText = (allowances: ArchRecord['allowances']): string =>
  allowances
    .map(({ kind, rule, ownMm }) => `${kind} (${ownMm === undefined ? rule : mm(ownMm)})`)
    .join(', ') || 'none';

function settingChanges(
  before: PlanSettings,
  after: PlanSettings,
): readonly (readonly [string, string, string])[] {
  const needed = ({ neededMm }: PlanSettings): string =>
    neededMm === null ? 'from the account' : mm(neededMm);
  const midline = ({ midline: wish }: PlanSettings): string =>
    wish ? `${mm(wish.shiftToRightMm)} to the right, within ${mm(wish.toleranceMm)}` : 'as it falls';
  const enamel = (c: PlanSettings['contacts'][number]): string | false =>
    c.enamelMm !== undefined &&
    `enamel on the radiograph ${c.enamelMm.map((read) => (read === null ? 'not read' : mm(read))).join(' and ')}`;
  const contacts = ({ contacts: own }: PlanSettings): string =>
    own
      .map(
        (c) =>
          `${pair(c.teeth)}: ${[c.lock && `locked (${c.lock})`, c.limitMm !== null && `limit ${mm(c.limitMm)}`, c.reachableFromVisit > 1 && `from visit ${c.reachableFromVisit}`, c.earlierReductionMm.some((earlier) => earlier > 0) && `earlier ${c.earlierReductionMm.map(mm).join(' and ')}`, enamel(c)].filter(Boolean).join(', ') || 'settings of its own'}`,
      )
      .join('; ') || 'none';
  return [
    ['Needed', needed(before), needed(after)],
    ['Step', mm(before.stepMm), mm(after.stepMm)],
    ['Accepted risk', `${before.overshootRisk * 100} %`, `${after.overshootRisk * 100} %`],
    ['Visits', String(before.visits), String(after.visits)],
    ['Most per contact and visit', mm(before.perVisitLimitMm), mm(after.perVisitLimitMm)],
    ['Midline', midline(before), midline(after)],
    ['Contacts with settings of their own', contacts(before), contacts(after)],
  ];
}

function planChanges(
  jaw: Jaw,
  before: ReductionPlan | null,
  after: ReductionPlan | null,
): readonly CaseChange[] {
  const amounts = (plan: ReductionPlan | null) =>
    new Map((plan?.contacts ?? []).map(({ teeth, totalMm }) => [pair(teeth), totalMm]));
  const [was, is] = [amounts(before), amounts(after)];
  const rows = [...new Set([...was.keys(), ...is.keys()])].flatMap((contact): CaseChange[] => {
    const [a, b] = [was.get(contact) ?? 0, is.get(contact) ?? 0];
    if (Math.abs(a - b) < TOLD_MM) return [];
    return [{ jaw, about: 'plan', what: `Planned at ${contact}`, before: mm(a), after: mm(b) }];
  });
  const sum = (plan: ReductionPlan | null): string | null =>
    plan && `${mm(plan.plannedMm)}, ${mm(plan.heldBackMm)} of it held back`;
  const [a, b] = [sum(before), sum(after)];
  return a === b ? rows : [{ jaw, about: 'plan', what: 'Planned in all', before: a, after: b }, ...rows];
}

function visitChanges(jaw: Jaw, before: ArchRecord, after: ArchRecord): readonly CaseChange[] {
  const rows: CaseChange[] = [];
  const add = (what: string, a: string | null, b: string | null): void => {
    if (a !== b) rows.push({ jaw, about: 'visits', what, before: a, after: b });
  };
  const byVisit = ({ visits = [] }: ArchRecord) => {
    const counts = new Map<number, number>();
    for (const { visit } of visits) counts.set(visit, (counts.get(visit) ?? 0) + 1);
    return counts;
  };
  const [was, is] = [byVisit(before), byVisit(after)];
  const entries = (count: number | undefined): string | null =>
    count === undefined ? null : `${count} ${count === 1 ? 'entry' : 'entries'}`;
  for (const visit of [...new Set([...was.keys(), ...is.keys()])].sort((a, b) => a - b))
    add(`Visit ${visit}`, entries(was.get(visit)), entries(is.get(visit)));
  const scans = ({ followUps = [] }: ArchRecord): string | null =>
    followUps.map(({ scan, measure }) => `${scan.file}${measure ? ', compared' : ''}`).join('; ') || null;
  add('Follow-up scans', scans(before), scans(after));
  const words = ({ overrides = [] }: ArchRecord): string | null =>
    overrides.map(({ reason }) => reason).join('; ') || null;
  add('Cutting allowed in excess', words(before), words(after));
  const closing = ({ closure }: ArchRecord): string | null =>
    closure
      ? `over-correction ${mm(closure.overCorrectionMm)}, ${closure.contacts?.map(pair).join(', ') ?? 'every open contact'}`
      : null;
  add('Closing', closing(before), closing(after));
  return rows;
}
