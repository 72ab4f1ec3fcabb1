import { type Contact, type Jaw, jawOf, positionOf } from '../base/tooth.ts';
import type { Estimate } from '../measure/ArchMeasures.ts';
import type { OwnCutting } from '../reduction/cuttingChoice.ts';
import {
  type CutRecord,
  type CuttingHabit,
  cutRegion,
  habitFromPrior,
  habitOf,
  type InstrumentClass,
  learnHabit,
} from '../reduction/cuttingHabit.ts';
import type { CuttingPrior } from '../reduction/cuttingPriors.ts';
import { tidyMm } from '../reduction/stepAmounts.ts';
import { type CutEntry, type CuttingInstrument, contactKey, standingEntries } from './CutEntry.ts';
import { asEstimate, cutEstimate, sumOfCuts } from './cutEstimate.ts';
import type { FollowUpSeen } from './enamelTaken.ts';

/** Planned against found at one contact of one arch. Units: mm. */
export interface OperatorCut {
  readonly teeth: Contact;
  readonly instrument: CuttingInstrument;
  readonly plannedMm: number;
  readonly performed: Estimate;
  readonly found: 'surfaces' | 'gauge' | 'caliper';
  readonly date: string; // of the last visit it counts
}

/**
 * What an arch's visits say of the hand: planned against performed for each contact, performed by the follow-up scan
 * where it covers the contact, else by gauge or caliper. What was only felt says nothing of the hand and is left out.
 */
export function operatorCuts(
  entries: readonly CutEntry[],
  followUp: FollowUpSeen | null,
): readonly OperatorCut[] {
  const byContact = new Map<string, CutEntry[]>();
  for (const entry of standingEntries(entries)) {
    const key = contactKey(entry.teeth);
    byContact.set(key, [...(byContact.get(key) ?? []), entry]);
  }
  return [...byContact.values()].flatMap((own): readonly OperatorCut[] => {
    const covered = followUp ? own.filter((entry) => entry.visit <= followUp.afterVisit) : [];
    const measured = followUp?.measure.contacts.find(
      (change) => contactKey(change.teeth) === contactKey(own[0].teeth),
    )?.enamelGone;
    const bySurfaces = measured && covered.length > 0 ? cutOf(covered, measured, 'surfaces') : [];
    const rest = measured ? own.filter((entry) => !covered.includes(entry)) : own;
    const gauged = rest.filter((entry) => entry.how.by === 'gauge' || entry.how.by === 'caliper');
    const found = gauged.some((entry) => entry.how.by === 'caliper') ? 'caliper' : 'gauge';
    const sum = asEstimate(sumOfCuts(gauged.map((entry) => cutEstimate(entry.how))));
    return [...bySurfaces, ...cutOf(gauged, sum, found)];
  });
}

function cutOf(
  entries: readonly CutEntry[],
  performed: Estimate,
  found: OperatorCut['found'],
): readonly OperatorCut[] {
  const plannedMm = tidyMm(entries.reduce((sum, entry) => sum + entry.plannedMm, 0));
  if (plannedMm <= 0) return []; // nothing planned says nothing of the ratio
  const largest = [...entries].sort(
    (a, b) => cutEstimate(b.how).valueMm - cutEstimate(a.how).valueMm || a.id - b.id,
  )[0];
  const date = entries
    .map((entry) => entry.date)
    .sort()
    .at(-1) as string;
  return [{ teeth: entries[0].teeth, instrument: largest.instrument, plannedMm, performed, found, date }];
}

export type CutPlace = 'front' | 'premolar' | 'molar';

/** Where a contact lies, by its hinder tooth. */
export function cutPlace([a, b]: Contact): CutPlace {
  const last = Math.max(positionOf(a), positionOf(b));
  return last <= 3 ? 'front' : last <= 5 ? 'premolar' : 'molar';
}

/** Planned against performed with one instrument in one region. Units: mm. */
export interface OperatorCell {
  readonly instrument: CuttingInstrument | 'all';
  readonly place: CutPlace | 'all';
  readonly count: number;
  readonly plannedMm: number; // in all
  readonly performedMm: number;
  readonly ratio: number; // performed ÷ planned
  readonly biasMm: number; // mean of performed − planned, a contact
  readonly sdMm: number | null; // of these differences, n − 1; null with fewer than two
}

const INSTRUMENTS: readonly CuttingInstrument[] = ['strip', 'bur', 'disc', 'oscillating-strip', 'other'];
const PLACES: readonly CutPlace[] = ['front', 'premolar', 'molar'];

/** All cuts together, then each instrument in each region there are cuts of. */
export function operatorCells(cuts: readonly OperatorCut[]): readonly OperatorCell[] {
  if (cuts.length === 0) return [];
  return [
    cellOf('all', 'all', cuts),
    ...INSTRUMENTS.flatMap((instrument) =>
      PLACES.flatMap((place) => {
        const own = cuts.filter((cut) => cut.instrument === instrument && cutPlace(cut.teeth) === place);
        return own.length > 0 ? [cellOf(instrument, place, own)] : [];
      }),
    ),
  ];
}

function cellOf(
  instrument: OperatorCell['instrument'],
  place: OperatorCell['place'],
  cuts: readonly OperatorCut[],
): OperatorCell {
  const count = cuts.length;
  const plannedMm = tidyMm(cuts.reduce((sum, cut) => sum + cut.plannedMm, 0));
  const performedMm = tidyMm(cuts.reduce((sum, cut) => sum + cut.performed.valueMm, 0));
  const biasMm = (performedMm - plannedMm) / count;
  const squares = cuts.reduce((sum, cut) => sum + (cut.performed.valueMm - cut.plannedMm - biasMm) ** 2, 0);
  return {
    instrument,
    place,
    count,
    plannedMm,
    performedMm,
    ratio: performedMm / plannedMm,
    biasMm,
    sdMm: count > 1 ? Math.sqrt(squares / (count - 1)) : null,
  };
}

/** The cuts as the belief about a hand takes them; an instrument of no class is left out. */
const cutRecords = (cuts: readonly OperatorCut[]): readonly CutRecord[] =>
  cuts
    .filter((cut) => cut.instrument !== 'other')
    .map((cut) => ({
      teeth: cut.teeth,
      plannedMm: cut.plannedMm,
      performedMm: cut.performed.valueMm,
      instrument: cut.instrument as InstrumentClass,
    }));

/**
 * The operator's habit at a contact, for a forecast: a study, bent by the operator's own cuts.
 * Shape: one object for every contact of the same region, so that a forecast knows their ratio to be one.
 */
export function operatorHabit(
  cuts: readonly OperatorCut[],
  prior: CuttingPrior,
  instrument: InstrumentClass,
): (teeth: Contact) => CuttingHabit {
  const records = cutRecords(cuts);
  const known = new Map<string, CuttingHabit>();
  return (teeth) => {
    const region = cutRegion(teeth);
    const habit = known.get(region) ?? habitOf(records, prior, { instrument, region });
    known.set(region, habit);
    return habit;
  };
}

/** The record as rows of plain cells, for a table file; units stand in the header. */
export function operatorRows(cuts: readonly OperatorCut[]): {
  readonly header: readonly string[];
  readonly rows: readonly (readonly (string | number)[])[];
} {
  return {
    header: [
      'date',
      'jaw',
      'tooth',
      'neighbour',
      'region',
      'instrument',
      'planned mm',
      'performed mm',
      'SD mm',
      'found by',
    ],
    rows: cuts.map((cut) => [
      cut.date,
      jawOf(cut.teeth[0]),
      ...cut.teeth,
      cutPlace(cut.teeth),
      cut.instrument,
      cut.plannedMm,
      tidyMm(Math.round(cut.performed.valueMm * 1000) / 1000),
      tidyMm(Math.round(cut.performed.sdMm * 1000) / 1000),
      cut.found,
    ]),
  };
}

/** What the operator's own cuts say of the hand in each jaw, for a forecast; null without any cut on record. */
export function ownCutting(cuts: readonly OperatorCut[], prior: CuttingPrior): OwnCutting | null {
  if (cuts.length === 0) return null;
  const records = cuts.map((cut) => ({ plannedMm: cut.plannedMm, performedMm: cut.performed.valueMm }));
  const habit = (jaw: Jaw): CuttingHabit => learnHabit(habitFromPrior(prior, jaw), records);
  return { habit: { upper: habit('upper'), lower: habit('lower') }, cuts: cuts.length };
}
