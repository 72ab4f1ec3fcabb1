import { type Notation, type Tooth, toothLabel } from '../base/tooth.ts';
import type { Vec3 } from '../base/Vec3.ts';
import type { ArchMeasures, Estimate } from '../measure/ArchMeasures.ts';
import type { ReductionPlan } from '../reduction/ReductionPlan.ts';
import type { ContactLimits } from '../reduction/reductionRequest.ts';
import type { Ledger } from '../space/Ledger.ts';

export type Cell = string | number | null;

/** A table of plain cells; units stand in the headers. The text (CSV) is made where it is written. */
export interface Table {
  readonly name: 'widths' | 'contacts' | 'arch' | 'space' | 'plan';
  readonly header: readonly string[];
  readonly rows: readonly (readonly Cell[])[];
}

/** Micrometres are finer than any scan; more digits would only pretend. */
const rounded = (value: number | null | undefined): number | null =>
  value === null || value === undefined ? null : Math.round(value * 1000) / 1000 + 0;

const xyz = (point: Vec3 | null): readonly Cell[] => (point ? point.map(rounded) : [null, null, null]);

const estimate = (value: Estimate | null): readonly Cell[] => [rounded(value?.valueMm), rounded(value?.sdMm)];

/** Crown widths with their SD and contact points (scan frame). */
export const widthsTable = (measures: ArchMeasures, notation: Notation = 'iso'): Table => ({
  name: 'widths',
  header: [
    'tooth',
    'width mm',
    'SD mm',
    'width in occlusal plane mm',
    'from',
    'confidence',
    ...['mesial', 'distal'].flatMap((site) => ['x', 'y', 'z'].map((axis) => `${site} ${axis} mm`)),
  ],
  rows: measures.teeth.map((t) => [
    toothLabel(t.tooth, notation),
    rounded(t.widthMm),
    rounded(t.sdMm),
    rounded(t.widthOcclusalMm),
    t.source,
    rounded(t.confidence),
    ...xyz(t.mesialMm),
    ...xyz(t.distalMm),
  ]),
});

/** Separation and where it comes from, distance along the arch (negative: overlap) and displacement of every contact. */
export const contactsTable = (measures: ArchMeasures, notation: Notation = 'iso'): Table => ({
  name: 'contacts',
  header: [
    'tooth',
    'neighbour',
    'separation mm',
    'SD mm',
    'from',
    'along the arch mm',
    'SD mm',
    'displacement mm',
    'SD mm',
  ],
  rows: measures.contacts.map(({ teeth, separation, separationFrom, alongArch, displacement }) => [
    ...teeth.map((tooth) => toothLabel(tooth, notation)),
    ...estimate(separation),
    separation && separationFrom,
    ...estimate(alongArch),
    ...estimate(displacement),
  ]),
});

/** Measures of the arch as a whole; the arch line in every form that could be fitted. */
export function archTable(measures: ArchMeasures): Table {
  const row = (what: string, value: Estimate | null, note = ''): readonly Cell[] => [
    what,
    ...estimate(value),
    note,
  ];
  const chosen = measures.line?.form;
  return {
    name: 'arch',
    header: ['measure', 'mm', 'SD mm', 'note'],
    rows: [
      ...measures.lines.map((line) =>
        row(
          `arch line, ${line.form}`,
          line.length,
          `${line.form === chosen ? 'chosen; ' : ''}fit RMS ${rounded(line.fitRmsMm)} mm`,
        ),
      ),
      row('four segments', measures.fourSegments),
      row('six segments', measures.sixSegments),
      row('irregularity', measures.irregularity, measures.irregularityGrade ?? ''),
      row('arch depth', measures.depth),
      row('intercanine width', measures.intercanine),
      row('interpremolar width', measures.interpremolar),
      row('intermolar width', measures.intermolar),
      row('curve of Spee, right', measures.speeDepthRight),
      row('curve of Spee, left', measures.speeDepthLeft),
      row('midline offset', measures.midlineOffset),
      row('asymmetry', measures.asymmetry),
    ],
  };
}

/** The space account, entry by entry with its source, and the balance last. */
export const spaceTable = (ledger: Ledger, notation: Notation = 'iso'): Table => ({
  name: 'space',
  header: ['entry', 'mm', 'SD mm', 'standing', 'source', 'missing', 'note', 'rests on teeth'],
  rows: [
    ...ledger.entries.map((entry): readonly Cell[] => [
      entry.what,
      rounded(entry.amountMm),
      rounded(entry.sdMm),
      entry.source.standing,
      entry.source.text,
      entry.missing,
      entry.note,
      names(entry.evidenceTeeth, notation),
    ]),
    [
      'space available − required, adjusted',
      rounded(ledger.differenceMm),
      rounded(ledger.sdMm),
      'computed',
      'sum of the entries',
      ledger.missing.join('; ') || null,
      null,
      '',
    ],
  ],
});

const names = (teeth: readonly Tooth[], notation: Notation): string =>
  teeth.map((tooth) => toothLabel(tooth, notation)).join(' ');

/** The reduction plan by contact and visit, with the limit each contact was given and the sum last. */
export function planTable(
  plan: ReductionPlan,
  limits: readonly ContactLimits[],
  notation: Notation = 'iso',
): Table {
  const visits = Math.max(0, ...plan.contacts.map((contact) => contact.byVisitMm.length));
  const visitNumbers = Array.from({ length: visits }, (_, i) => i);
  const sum = (of: (contact: ReductionPlan['contacts'][number]) => number): number | null =>
    rounded(plan.contacts.reduce((total, contact) => total + of(contact), 0));
  return {
    name: 'plan',
    header: [
      'tooth',
      'neighbour',
      'total mm',
      'held back mm',
      'at tooth mm',
      'at neighbour mm',
      ...visitNumbers.map((i) => `visit ${i + 1} mm`),
      'limit mm',
      'limit at tooth mm',
      'limit at neighbour mm',
      'lock',
      'reason for a higher limit',
    ],
    rows: [
      ...plan.contacts.map((contact): readonly Cell[] => {
        const limit = limits.find(({ teeth }) => teeth.every((tooth) => contact.teeth.includes(tooth)));
        return [
          ...contact.teeth.map((tooth) => toothLabel(tooth, notation)),
          rounded(contact.totalMm),
          rounded(contact.heldBackMm),
          ...contact.surfacesMm.map(rounded),
          ...visitNumbers.map((i) => rounded(contact.byVisitMm[i])),
          rounded(limit?.limitMm),
          rounded(limit?.surfacesMm[0]),
          rounded(limit?.surfacesMm[1]),
          limit?.lock ?? null,
          limit?.exceedsDefault ? limit.reason : null,
        ];
      }),
      [
        'all',
        null,
        sum((contact) => contact.totalMm),
        sum((contact) => contact.heldBackMm),
        null,
        null,
        ...visitNumbers.map((i) => sum((contact) => contact.byVisitMm[i] ?? 0)),
        ...Array.from({ length: 5 }, () => null),
      ],
    ],
  };
}
