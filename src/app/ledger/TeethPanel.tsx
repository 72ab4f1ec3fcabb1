import {
  archOrder,
  isRight,
  type Notation,
  positionOf,
  type Tooth,
  toothLabel,
} from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchMeasures, ContactMeasure, ToothMeasure } from '../../core/measure/ArchMeasures.ts';
import { type GridRow, RowGrid } from '../design/RowGrid.tsx';
import { contactLabel, mm, sd, toothName, unbroken } from '../format.ts';
import { presenceOf } from '../state/archEdits.ts';
import { useStore } from '../store.ts';
import { selectContact, selectTooth } from '../strip/select.ts';
import './ledger.css';
import { RatiosSection } from './RatiosSection.tsx';

const SOURCE_WORDS: Readonly<Record<ToothMeasure['source'], string>> = {
  marked: 'marked',
  proposed: 'proposed',
  entered: 'entered',
};

/** What to look at on one tooth: what casts doubt on its width or marks, not what a whole-arch measure lacks. */
const TOOTH_FLAGS: ReadonlySet<string> = new Set([
  'width-missing',
  'width-unusual',
  'width-sides-differ',
  'width-entered-over-marks',
  'missing-but-marked',
  'place-shared',
  'sites-exchanged',
]);

export const flagsOf = (measures: ArchMeasures, tooth: Tooth): readonly string[] =>
  measures.warnings
    .filter((warning) => TOOTH_FLAGS.has(warning.code) && warning.teeth?.includes(tooth))
    .map((warning) => unbroken(warning.message));

/** Teeth listed in the widths table: every tooth that is not missing, or that has a width. */
export const listedTeeth = (record: ArchRecord, measures: ArchMeasures): readonly Tooth[] => {
  const extra = measures.teeth.map((m) => m.tooth).filter((t) => !archOrder(record.jaw).includes(t));
  return [
    ...archOrder(record.jaw).filter(
      (t) => presenceOf(record.chart, t) !== 'missing' || measures.teeth.some((m) => m.tooth === t),
    ),
    ...extra,
  ];
};

/** Widths, contacts and, with both arches, tooth-size ratios. */
export function TeethPanel({ record, measures }: { record: ArchRecord; measures: ArchMeasures }) {
  const notation = useStore((state) => state.caseDocument.notation);
  return (
    <div className="sheet">
      <section className="sheet__section" aria-labelledby="widths">
        <div className="sheet__head">
          <h3 className="sheet__title" id="widths">
            Widths
          </h3>
          <span className="sheet__note">mesiodistal, mm</span>
        </div>
        <WidthsTable record={record} measures={measures} notation={notation} />
      </section>
      <section className="sheet__section" aria-labelledby="contacts">
        <div className="sheet__head">
          <h3 className="sheet__title" id="contacts">
            Contacts
          </h3>
          <span className="sheet__note">along and across the arch, mm</span>
        </div>
        <ContactsTable contacts={measures.contacts} notation={notation} />
      </section>
      <RatiosSection />
    </div>
  );
}

function WidthsTable({
  record,
  measures,
  notation,
}: {
  record: ArchRecord;
  measures: ArchMeasures;
  notation: Notation;
}) {
  const selected = useStore((state) => state.ui.selectedTooth ?? state.ui.selectedSite?.tooth ?? null);
  const rows = listedTeeth(record, measures).map((tooth): GridRow => {
    const measure = measures.teeth.find((m) => m.tooth === tooth);
    const other = measures.teeth.find(
      (m) => isRight(m.tooth) !== isRight(tooth) && positionOf(m.tooth) === positionOf(tooth),
    );
    const flags = flagsOf(measures, tooth);
    return {
      id: String(tooth),
      name: toothName(tooth),
      cells: [
        <b key="tooth">{toothLabel(tooth, notation)}</b>,
        <b key="width">{mm(measure?.widthMm)}</b>,
        sd(measure?.sdMm),
        measure && other ? mm(measure.widthMm - other.widthMm) : '',
        measure ? SOURCE_WORDS[measure.source] : 'not measured',
        flags.length > 0 && (
          <span key="flag" className="flag" title={flags.join('\n')}>
            look<span className="visually-hidden">: {flags.join('; ')}</span>
          </span>
        ),
      ],
    };
  });
  return (
    <RowGrid
      label="Widths"
      heads={['Tooth', 'width', 'SD', 'other side', 'from', 'flag']}
      rows={rows}
      selectedId={selected === null ? null : String(selected)}
      onSelect={(id) => selectTooth(Number(id))}
    />
  );
}

function ContactsTable({ contacts, notation }: { contacts: readonly ContactMeasure[]; notation: Notation }) {
  const selected = useStore((state) => state.ui.selectedContact);
  if (contacts.length === 0) return <p className="sheet__note">No contact has both its points marked yet.</p>;
  const rows = contacts.map(
    ({ teeth, separation, separationFrom, displacement }): GridRow => ({
      id: teeth.join('-'),
      name: `Contact ${contactLabel(teeth, notation)}`,
      cells: [
        <b key="contact">{contactLabel(teeth, notation)}</b>,
        mm(separation?.valueMm),
        sd(separation?.sdMm),
        separation ? separationFrom : '',
        mm(displacement?.valueMm),
        sd(displacement?.sdMm),
      ],
    }),
  );
  return (
    <RowGrid
      label="Contacts"
      heads={['Contact', 'separation', 'SD', 'from', 'displacement', 'SD']}
      rows={rows}
      selectedId={selected ? selected.join('-') : null}
      onSelect={(id) => {
        const contact = contacts.find(({ teeth }) => teeth.join('-') === id);
        if (contact) selectContact(contact.teeth);
      }}
    />
  );
}
