import { Cell, Column, Row, Table, TableBody, TableHeader } from 'react-aria-components';
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
import { contactLabel, mm, sd, toothName } from '../format.ts';
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
    .map((warning) => warning.message);

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
  const teeth = listedTeeth(record, measures);
  const fellow = (tooth: Tooth): ToothMeasure | undefined =>
    measures.teeth.find(
      (m) => isRight(m.tooth) !== isRight(tooth) && positionOf(m.tooth) === positionOf(tooth),
    );
  return (
    <Table
      aria-label="Widths"
      className="grid"
      selectionMode="single"
      selectionBehavior="replace"
      selectedKeys={selected === null ? [] : [String(selected)]}
      onSelectionChange={(keys) => {
        if (keys === 'all') return;
        const [key] = [...keys];
        if (key !== undefined) selectTooth(Number(key));
      }}
    >
      <TableHeader>
        <Column isRowHeader>Tooth</Column>
        <Column>width</Column>
        <Column>SD</Column>
        <Column>other side</Column>
        <Column>from</Column>
        <Column>flag</Column>
      </TableHeader>
      <TableBody>
        {teeth.map((tooth) => {
          const measure = measures.teeth.find((m) => m.tooth === tooth);
          const other = fellow(tooth);
          const flags = flagsOf(measures, tooth);
          return (
            <Row key={tooth} id={String(tooth)} textValue={toothName(tooth)}>
              <Cell>
                <b>{toothLabel(tooth, notation)}</b>
              </Cell>
              <Cell>
                <b>{mm(measure?.widthMm)}</b>
              </Cell>
              <Cell>{sd(measure?.sdMm)}</Cell>
              <Cell>{measure && other ? mm(measure.widthMm - other.widthMm) : ''}</Cell>
              <Cell>{measure ? SOURCE_WORDS[measure.source] : 'not measured'}</Cell>
              <Cell>
                {flags.length > 0 && (
                  <span className="flag" title={flags.join('\n')}>
                    look<span className="visually-hidden">: {flags.join('; ')}</span>
                  </span>
                )}
              </Cell>
            </Row>
          );
        })}
      </TableBody>
    </Table>
  );
}

function ContactsTable({ contacts, notation }: { contacts: readonly ContactMeasure[]; notation: Notation }) {
  const selected = useStore((state) => state.ui.selectedContact);
  if (contacts.length === 0) return <p className="sheet__note">No contact has both its points marked yet.</p>;
  return (
    <Table
      aria-label="Contacts"
      className="grid"
      selectionMode="single"
      selectionBehavior="replace"
      selectedKeys={selected ? [selected.join('-')] : []}
      onSelectionChange={(keys) => {
        if (keys === 'all') return;
        const [key] = [...keys];
        const contact = contacts.find((c) => c.teeth.join('-') === key);
        if (contact) selectContact(contact.teeth);
      }}
    >
      <TableHeader>
        <Column isRowHeader>Contact</Column>
        <Column>separation</Column>
        <Column>SD</Column>
        <Column>displacement</Column>
        <Column>SD</Column>
      </TableHeader>
      <TableBody>
        {contacts.map((contact) => (
          <Row
            key={contact.teeth.join('-')}
            id={contact.teeth.join('-')}
            textValue={contactLabel(contact.teeth, notation)}
          >
            <Cell>
              <b>{contactLabel(contact.teeth, notation)}</b>
            </Cell>
            <Cell>{mm(contact.separation?.valueMm)}</Cell>
            <Cell>{sd(contact.separation?.sdMm)}</Cell>
            <Cell>{mm(contact.displacement?.valueMm)}</Cell>
            <Cell>{sd(contact.displacement?.sdMm)}</Cell>
          </Row>
        ))}
      </TableBody>
    </Table>
  );
}
