import { type Tooth, toothLabel } from '../../core/base/tooth.ts';
import type { ArchAccount } from '../../core/casefile/archAccount.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { contactLabel, mm, STANDING_WORDS, sd, unbroken } from '../format.ts';
import { archFigures } from '../ledger/ArchPanel.tsx';
import { flagsOf, listedTeeth } from '../ledger/TeethPanel.tsx';
import { activeMarks } from '../state/archEdits.ts';
import { useStore } from '../store.ts';

/** Which scan was measured, and by how many marks. */
export function PaperScan({ record }: { record: ArchRecord }) {
  const marks = activeMarks(record);
  const proposed = marks.filter((mark) => mark.state === 'proposed').length;
  return (
    <p className="paper__note">
      Scan {record.scan.file}, checksum {record.scan.sha256.slice(0, 16)}. {marks.length} marks
      {proposed > 0 && `, ${proposed} of them only proposed by the program and not looked at`}. SD of one mark{' '}
      {mm(record.markSdMm)}&nbsp;mm; ± is one standard deviation.
    </p>
  );
}

export function PaperWidths({ record, account }: { record: ArchRecord; account: ArchAccount }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const rows = listedTeeth(record, account.measures).map((tooth: Tooth) => ({
    tooth,
    measure: account.measures.teeth.find((m) => m.tooth === tooth) ?? null,
    flagged: flagsOf(account.measures, tooth).length > 0,
  }));
  return (
    <table className="grid num">
      <thead>
        <tr>
          <th scope="col">Tooth</th>
          <th scope="col">width, mm</th>
          <th scope="col">SD</th>
          <th scope="col">from</th>
          <th scope="col">flag</th>
        </tr>
      </thead>
      <tbody>
        {rows.map(({ tooth, measure, flagged }) => (
          <tr key={tooth}>
            <th scope="row">{toothLabel(tooth, notation)}</th>
            <td>{mm(measure?.widthMm)}</td>
            <td>{sd(measure?.sdMm)}</td>
            <td>{measure?.source ?? 'not measured'}</td>
            <td>{flagged ? 'look' : ''}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export function PaperContacts({ account }: { account: ArchAccount }) {
  const notation = useStore((state) => state.caseDocument.notation);
  return (
    <table className="grid num">
      <thead>
        <tr>
          <th scope="col">Contact</th>
          <th scope="col">separation</th>
          <th scope="col">SD</th>
          <th scope="col">from</th>
          <th scope="col">along the arch</th>
          <th scope="col">displacement</th>
          <th scope="col">SD</th>
        </tr>
      </thead>
      <tbody>
        {account.measures.contacts.map((contact) => (
          <tr key={contact.teeth.join('-')}>
            <th scope="row">{contactLabel(contact.teeth, notation)}</th>
            <td>{mm(contact.separation?.valueMm)}</td>
            <td>{sd(contact.separation?.sdMm)}</td>
            <td>{contact.separation && contact.separationFrom}</td>
            <td>{mm(contact.alongArch?.valueMm)}</td>
            <td>{mm(contact.displacement?.valueMm)}</td>
            <td>{sd(contact.displacement?.sdMm)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** Sources of the arch measures, limits with their reasons, and remarks. */
export function PaperSources({ record, account }: { record: ArchRecord; account: ArchAccount }) {
  const notation = useStore((state) => state.caseDocument.notation);
  // The account's entries have their sources beside them.
  const figures = archFigures(record, account.measures);
  const raised = account.asked?.limits.filter((limit) => limit.exceedsDefault) ?? [];
  return (
    <section>
      <h3>Sources and remarks</h3>
      <ul className="paper__sources">
        {figures.map((figure) => (
          <li key={figure.id}>
            <b>{figure.what}</b>: {STANDING_WORDS[figure.source.standing]}; {figure.source.text}.
          </li>
        ))}
        {raised.map((limit) => (
          <li key={limit.teeth.join('-')}>
            <b>Limit of {contactLabel(limit.teeth, notation)}</b> raised above the default on purpose:{' '}
            {limit.reason}
          </li>
        ))}
        {account.measures.warnings.map((warning, i) => (
          <li key={`${warning.code}-${i}`}>{unbroken(warning.message)}</li>
        ))}
      </ul>
    </section>
  );
}
