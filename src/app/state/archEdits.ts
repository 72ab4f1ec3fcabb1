import type { Contact, Tooth } from '../../core/base/tooth.ts';
import type { Vec3 } from '../../core/base/Vec3.ts';
import type { ArchRecord, ContactSettings, ToothChart } from '../../core/casefile/CaseDocument.ts';
import type { CrownCorrections } from '../../core/crowns/crownCorrections.ts';
import { type MarkSite, markKey, type PlacedMark, type Reading } from '../../core/marks/Mark.ts';

/** Marks of the reading being worked on. */
export const activeMarks = (record: ArchRecord): readonly PlacedMark[] =>
  record.readings[record.activeReading]?.marks ?? [];

/** True while the reading being worked on repeats another blindly. */
export const isBlinded = (record: ArchRecord): boolean =>
  record.readings[record.activeReading]?.orderSeed !== undefined;

/** Marks in use that nobody has looked at yet. */
export const proposedCount = (record: ArchRecord): number =>
  activeMarks(record).filter((mark) => mark.state === 'proposed').length;

/** The record with the marks of its active reading replaced. */
function withMarks(record: ArchRecord, marks: readonly PlacedMark[]): ArchRecord {
  const readings = record.readings.map(
    (reading, i): Reading => (i === record.activeReading ? { ...reading, marks } : reading),
  );
  return { ...record, readings };
}

/** A mark placed or moved by the user: it stands as confirmed; `sdMm` where the place was snapped to. */
export function withMarkAt(
  record: ArchRecord,
  tooth: Tooth,
  site: MarkSite,
  pointMm: Vec3,
  sdMm?: number,
): ArchRecord {
  const key = markKey({ tooth, site });
  const own = sdMm === undefined ? {} : { sdMm };
  const placed: PlacedMark = { tooth, site, pointMm, state: 'confirmed', confidence: null, ...own };
  const rest = activeMarks(record).filter((mark) => markKey(mark) !== key);
  return withMarks(record, [...rest, placed]);
}

export function withoutMark(record: ArchRecord, tooth: Tooth, site: MarkSite): ArchRecord {
  const key = markKey({ tooth, site });
  const marks = activeMarks(record);
  return marks.some((mark) => markKey(mark) === key)
    ? withMarks(
        record,
        marks.filter((mark) => markKey(mark) !== key),
      )
    : record;
}

/** Marks proposed by the program; a mark the user has confirmed is never replaced by a proposal. */
export function withProposals(record: ArchRecord, proposed: readonly PlacedMark[]): ArchRecord {
  const confirmed = activeMarks(record).filter((mark) => mark.state === 'confirmed');
  const taken = new Set(confirmed.map(markKey));
  return withMarks(record, [...confirmed, ...proposed.filter((mark) => !taken.has(markKey(mark)))]);
}

/** Crowns corrected, with the marks proposed anew on some teeth; confirmed marks and those of other teeth stay. */
export function withCrownsCorrected(
  record: ArchRecord,
  corrections: CrownCorrections,
  teeth: readonly Tooth[],
  proposed: readonly PlacedMark[],
): ArchRecord {
  const kept = activeMarks(record).filter(
    (mark) => mark.state === 'confirmed' || !teeth.includes(mark.tooth),
  );
  const taken = new Set(kept.map(markKey));
  const marks = [...kept, ...proposed.filter((mark) => !taken.has(markKey(mark)))];
  return withCorrections(withMarks(record, marks), corrections);
}

/** The record with these corrections; without the field where there are none. */
function withCorrections(record: ArchRecord, corrections: CrownCorrections): ArchRecord {
  if (corrections.seeds.length + corrections.painted.length > 0)
    return { ...record, crownCorrections: corrections };
  const { crownCorrections: _, ...rest } = record;
  return rest;
}

/** What was said of a crown goes with its tooth. */
function withoutCrown(record: ArchRecord, tooth: Tooth): ArchRecord {
  const said = record.crownCorrections;
  if (!said) return record;
  const isOther = (part: { readonly tooth: Tooth }): boolean => part.tooth !== tooth;
  if (said.seeds.every(isOther) && said.painted.every(isOther)) return record;
  return withCorrections(record, {
    seeds: said.seeds.filter(isOther),
    painted: said.painted.filter(isOther),
  });
}

/** The record without what was proposed and nobody has looked at. */
export function withoutProposals(record: ArchRecord): ArchRecord {
  const marks = activeMarks(record);
  const confirmed = marks.filter((mark) => mark.state === 'confirmed');
  return confirmed.length === marks.length ? record : withMarks(record, confirmed);
}

export function withConfirmed(record: ArchRecord, chosen: (mark: PlacedMark) => boolean): ArchRecord {
  return withMarks(
    record,
    activeMarks(record).map((mark) => (chosen(mark) ? { ...mark, state: 'confirmed' as const } : mark)),
  );
}

const toggled = (list: readonly Tooth[], tooth: Tooth, on: boolean): readonly Tooth[] => {
  const rest = list.filter((other) => other !== tooth);
  return on ? [...rest, tooth].sort((a, b) => a - b) : rest;
};

/**
 * What the user says of one permanent tooth. `primary`: its primary tooth still stands in its place. A third molar
 * counts only once it is said to be present.
 */
export type ToothPresence = 'present' | 'primary' | 'missing' | 'unerupted';

export function presenceOf(chart: ToothChart, tooth: Tooth): ToothPresence {
  if (chart.missing.includes(tooth)) return 'missing';
  if (chart.primary?.includes(tooth + 40)) return 'primary';
  if (chart.unerupted.includes(tooth)) return 'unerupted';
  return tooth % 10 === 8 && !chart.thirdMolars.includes(tooth) ? 'missing' : 'present';
}

/** A tooth that is not there has no marks and no crown: those of the reading in use go with it, so that chart and sums agree. */
export function withPresence(record: ArchRecord, tooth: Tooth, presence: ToothPresence): ArchRecord {
  const third = tooth % 10 === 8;
  const { primary: before = [], ...rest } = record.chart;
  const primary = toggled(before, tooth + 40, presence === 'primary');
  const chart: ToothChart = {
    ...rest,
    ...(primary.length > 0 ? { primary } : {}),
    missing: toggled(record.chart.missing, tooth, presence === 'missing' && !third),
    unerupted: toggled(record.chart.unerupted, tooth, presence === 'unerupted' || presence === 'primary'),
    thirdMolars: third
      ? toggled(record.chart.thirdMolars, tooth, presence === 'present')
      : record.chart.thirdMolars,
  };
  const marks = activeMarks(record);
  const gone = [
    ...(presence === 'present' ? [] : [tooth]),
    ...(before.includes(tooth + 40) && presence !== 'primary' ? [tooth + 40] : []),
  ];
  const kept = marks.filter((mark) => !gone.includes(mark.tooth));
  const crowned = gone.reduce(withoutCrown, record);
  return { ...(kept.length === marks.length ? crowned : withMarks(crowned, kept)), chart };
}

/** The record with a tooth said to be present. */
export const presentIn = (record: ArchRecord, tooth: Tooth): ArchRecord =>
  presenceOf(record.chart, tooth) === 'present' ? record : withPresence(record, tooth, 'present');

/** An entered width, or none (`null`) to go back to the marks. */
export function withEnteredWidth(
  record: ArchRecord,
  tooth: Tooth,
  width: { readonly widthMm: number; readonly sdMm: number } | null,
): ArchRecord {
  const rest = record.chart.enteredWidths.filter((entry) => entry.tooth !== tooth);
  const enteredWidths = width ? [...rest, { tooth, ...width }].sort((a, b) => a.tooth - b.tooth) : rest;
  return { ...record, chart: { ...record.chart, enteredWidths } };
}

export const sameContact = (a: Contact, b: Contact): boolean => a[0] === b[0] && a[1] === b[1];

/** A contact nobody has said anything about. */
const untouchedContact = (teeth: Contact): ContactSettings => ({
  teeth,
  limitMm: null,
  limitReason: '',
  surfaceLimitsMm: [null, null],
  earlierReductionMm: [0, 0],
  lock: null,
  reachableFromVisit: 1,
});

export const contactSettingsOf = (record: ArchRecord, teeth: Contact): ContactSettings =>
  record.plan.contacts.find((entry) => sameContact(entry.teeth, teeth)) ?? untouchedContact(teeth);

const isUntouched = (entry: ContactSettings): boolean =>
  JSON.stringify(entry) === JSON.stringify(untouchedContact(entry.teeth));

/** Settings of several contacts changed at once. */
export const withContactsChanged = (
  record: ArchRecord,
  changes: readonly { readonly teeth: Contact; readonly change: Partial<Omit<ContactSettings, 'teeth'>> }[],
): ArchRecord => changes.reduce((now, { teeth, change }) => withContactSettings(now, teeth, change), record);

/** Settings of one contact changed; a contact back at its defaults leaves the document. */
export function withContactSettings(
  record: ArchRecord,
  teeth: Contact,
  change: Partial<Omit<ContactSettings, 'teeth'>>,
): ArchRecord {
  const { enamelMm, ...changed }: ContactSettings = { ...contactSettingsOf(record, teeth), ...change };
  // A thickness nobody read is left out, so that a contact back at its defaults is seen to be.
  const next = enamelMm?.some((mm) => mm !== null) ? { ...changed, enamelMm } : changed;
  const rest = record.plan.contacts.filter((entry) => !sameContact(entry.teeth, teeth));
  const contacts = isUntouched(next) ? rest : [...rest, next];
  return { ...record, plan: { ...record.plan, contacts } };
}
