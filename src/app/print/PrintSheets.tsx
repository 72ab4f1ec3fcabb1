import { type ReactNode, useEffect, useState } from 'react';
import { flushSync } from 'react-dom';
import type { Jaw } from '../../core/base/tooth.ts';
import { type Tooth, toothLabel } from '../../core/base/tooth.ts';
import type { ArchAccount } from '../../core/casefile/archAccount.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { cautionsAt } from '../../core/reduction/cautions.ts';
import type { ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { severityGrades } from '../../core/space/severity.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { useRatios } from '../account/useRatios.ts';
import {
  contactLabel,
  day,
  FORM_NAMES,
  jawName,
  mm,
  percent,
  STANDING_WORDS,
  sd,
  signed,
  sourceWords,
} from '../format.ts';
import { Balance, LedgerFoot, ledgerFigures } from '../ledger/AccountPanel.tsx';
import { archFigures } from '../ledger/ArchPanel.tsx';
import type { Figure } from '../ledger/FigureTable.tsx';
import { RatiosTable } from '../ledger/RatiosSection.tsx';
import { flagsOf, listedTeeth } from '../ledger/TeethPanel.tsx';
import { PlanSums, VisitsTable } from '../plan/PlanPanel.tsx';
import { activeMarks } from '../state/archEdits.ts';
import { useStore } from '../store.ts';
import { StripDrawing } from '../strip/StripDrawing.tsx';
import { stripLayout } from '../strip/stripLayout.ts';
import { stripRows } from '../strip/stripRows.ts';
import { VisitSheet } from '../visits/VisitSheet.tsx';
import { PaperOwnTenths } from './PaperOwnTenths.tsx';
import { PaperBoth, PaperEnamel, PaperPlan } from './PaperPlan.tsx';
import { usePrintChoice } from './printStore.ts';
import { ReportParts } from './ReportParts.tsx';
import './print.css';

/** Width of the printed drawing, px; it is scaled to the paper. */
const DRAWING_PX = 740;

/** True from just before printing until after it: the sheets are built only then. */
function usePrinting(): boolean {
  const [printing, setPrinting] = useState(false);
  useEffect(() => {
    const media = matchMedia('print');
    const change = (): void => setPrinting(media.matches);
    // The browser lays out the paper right after this event, so the sheets must be there when it returns.
    const before = (): void => flushSync(() => setPrinting(true));
    const after = (): void => setPrinting(media.matches);
    change();
    media.addEventListener('change', change);
    addEventListener('beforeprint', before);
    addEventListener('afterprint', after);
    return () => {
      media.removeEventListener('change', change);
      removeEventListener('beforeprint', before);
      removeEventListener('afterprint', after);
    };
  }, []);
  return printing;
}

/** The account and the plan on paper, A4 or Letter, legible in black and white. */
export function PrintSheets() {
  return usePrinting() ? <Sheets /> : null;
}

function Sheets() {
  const { sheets, jaw, visit } = usePrintChoice();
  return (
    <div className="paper">
      {(sheets.includes('plan') || sheets.includes('report')) && <PlanSheets />}
      {sheets.includes('visit') && <VisitSheet jaw={jaw} visit={visit} />}
      {sheets.includes('report') && <ReportParts />}
    </div>
  );
}

function PlanSheets() {
  const title = useStore((state) => state.caseDocument.title);
  const name = usePrintChoice((choice) => choice.name);
  const ratios = useRatios();
  return (
    <>
      <header className="paper__head">
        <h1>{title || 'Space account and reduction plan'}</h1>
        <p>
          {name && (
            <>
              {name}
              <br />
            </>
          )}
          Archledger
          <br />
          printed {day(new Date())}
        </p>
      </header>
      <PaperArch jaw="upper" />
      <PaperArch jaw="lower" />
      <PaperBoth />
      {ratios && (
        <section>
          <h3>Tooth-size ratios</h3>
          <RatiosTable ratios={ratios} />
          <p className="paper__note">
            Norm: {STANDING_WORDS[ratios.now.overall.source.standing]}, {ratios.now.overall.source.text}.
          </p>
        </section>
      )}
    </>
  );
}

function PaperArch({ jaw }: { jaw: Jaw }) {
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  const account = useArchAccount(jaw);
  const amounts = usePlannedAmounts(jaw);
  if (!record || !account) return null;
  const planned = amounts && { plan: amounts.plan, request: amounts.request };
  return (
    <article className="paper__arch">
      <h2>{jawName(jaw)}</h2>
      <ScanLine record={record} />
      <section>
        <PaperStrip record={record} account={account} planned={planned} />
      </section>
      <section className="paper__two">
        <div>
          <h3>Space account</h3>
          <Balance ledger={account.ledger} />
          <PaperFigures
            figures={ledgerFigures(account.ledger)}
            foot={<LedgerFoot ledger={account.ledger} />}
            withSign
          />
          {account.ledger.differenceMm !== null && account.ledger.differenceMm < 0 && (
            <PaperSeverity shortageMm={-account.ledger.differenceMm} />
          )}
        </div>
        <div>
          <h3>Arch</h3>
          <PaperFigures figures={[lineFigure(record, account), ...archFigures(record, account.measures)]} />
        </div>
      </section>
      {cautionsAt('measure').map((caution) => (
        <p key={caution.id} className="paper__note paper__caution">
          {caution.text}
        </p>
      ))}
      <Sources record={record} account={account} />
      {planned && (
        <section className="paper__plan">
          <h3>Reduction plan, {jawName(jaw).toLowerCase()}</h3>
          <PlanSums {...planned} />
          {amounts && <PaperOwnTenths amounts={amounts} />}
          {planned.plan.plannedMm > 0 && (
            <>
              <VisitsTable {...planned} />
              {amounts && <PaperPlan record={record} amounts={amounts} />}
            </>
          )}
        </section>
      )}
      <section className="caution">
        <h3>Cautions</h3>
        <ul>
          {cautionsAt('plan').map((caution) => (
            <li key={caution.id}>{caution.text}</li>
          ))}
        </ul>
      </section>
      <section className="paper__measured">
        <h3>Widths and contacts, {jawName(jaw).toLowerCase()}</h3>
        <div className="paper__two">
          <PaperWidths record={record} account={account} />
          <PaperContacts account={account} />
        </div>
      </section>
      {amounts && <PaperEnamel amounts={amounts} />}
    </article>
  );
}

/** Severity by each source's bands, in a line each. */
function PaperSeverity({ shortageMm }: { shortageMm: number }) {
  return (
    <ul className="paper__note">
      {severityGrades(shortageMm).map(({ scale, grade }) => (
        <li key={scale.id}>
          <b>{grade ?? 'between two bands'}</b> by {scale.source.text}
        </li>
      ))}
    </ul>
  );
}

function lineFigure(record: ArchRecord, { measures }: ArchAccount): Figure {
  return {
    id: 'line',
    what: `Arch line, ${FORM_NAMES[record.form].toLowerCase()}`,
    valueMm: measures.line?.length.valueMm ?? null,
    sdMm: measures.line?.length.sdMm ?? null,
    source: { standing: 'measured', text: 'contact points marked on this scan' },
    missing: measures.line ? null : 'contact points',
    teeth: [],
    remark: measures.line ? `fit ${mm(measures.line.fitRmsMm)} mm` : undefined,
  };
}

function ScanLine({ record }: { record: ArchRecord }) {
  const marks = activeMarks(record);
  const proposed = marks.filter((mark) => mark.state === 'proposed').length;
  return (
    <p className="paper__note">
      Scan {record.scan.file}, checksum {record.scan.sha256.slice(0, 16)}. {marks.length} marks
      {proposed > 0 && `, ${proposed} of them only proposed by the program and not looked at`}. SD of one mark{' '}
      {mm(record.markSdMm)} mm; ± is one standard deviation.
    </p>
  );
}

type Planned = { readonly plan: ReductionPlan; readonly request: ReductionRequest } | null;

function PaperStrip({
  record,
  account,
  planned,
}: {
  record: ArchRecord;
  account: ArchAccount;
  planned: Planned;
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  const layout = stripLayout(record, account.measures, null);
  const pxPerMm = (DRAWING_PX - 28) / (layout.toMm - layout.fromMm + 2);
  return (
    <figure className="strip">
      <StripDrawing
        layout={layout}
        rows={stripRows(layout, pxPerMm)}
        pxPerMm={pxPerMm}
        notation={notation}
        request={planned?.request ?? null}
        plan={planned?.plan ?? null}
        idPrefix={`paper-${record.jaw}`}
        still
      />
      <figcaption className="paper__note">
        The arch unrolled along its line, to scale. Above: the teeth as they stand; below: blocks of true
        width, contact to contact, with one rung for each planned step (filled: committed, hatched: held back,
        open: free up to the limit).
      </figcaption>
    </figure>
  );
}

function PaperFigures({
  figures,
  foot,
  withSign = false,
}: {
  figures: readonly Figure[];
  foot?: ReactNode;
  withSign?: boolean;
}) {
  const withShare = figures.some((figure) => figure.varianceShare !== undefined);
  return (
    <table className={withShare ? 'account account_shares' : 'account'}>
      {withShare && (
        <thead>
          <tr>
            <th scope="col">Entry</th>
            <th scope="col" className="account__mm">
              mm
            </th>
            <th scope="col" className="account__sd">
              SD
            </th>
            <th scope="col" className="account__share">
              share
            </th>
          </tr>
        </thead>
      )}
      <tbody>
        {figures.map((figure) => (
          <tr key={figure.id}>
            <th scope="row">
              {figure.what}
              {figure.varianceShare !== undefined && (
                <span className="account__standing">{sourceWords(figure.source)}</span>
              )}
              {figure.remark && <span className="account__standing">{figure.remark}</span>}
              {figure.missing && <span className="account__standing">missing: {figure.missing}</span>}
            </th>
            <td className="account__mm">
              {figure.valueMm === null ? '–' : withSign ? signed(figure.valueMm) : mm(figure.valueMm)}
            </td>
            <td className="account__sd">{sd(figure.sdMm)}</td>
            {withShare && (
              <td className="account__share">
                {typeof figure.varianceShare === 'number' ? percent(figure.varianceShare) : '–'}
              </td>
            )}
          </tr>
        ))}
      </tbody>
      {foot}
    </table>
  );
}

function PaperWidths({ record, account }: { record: ArchRecord; account: ArchAccount }) {
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

function PaperContacts({ account }: { account: ArchAccount }) {
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
function Sources({ record, account }: { record: ArchRecord; account: ArchAccount }) {
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
          <li key={`${warning.code}-${i}`}>{warning.message}</li>
        ))}
      </ul>
    </section>
  );
}
