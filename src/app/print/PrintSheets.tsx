import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchAccount } from '../../core/casefile/archAccount.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { cautionsAt } from '../../core/reduction/cautions.ts';
import type { ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { useRatios } from '../account/useRatios.ts';
import { day, jawName, STANDING_WORDS, unbroken } from '../format.ts';
import { Balance, LedgerFoot, ledgerFigures } from '../ledger/AccountPanel.tsx';
import { archFigures } from '../ledger/ArchPanel.tsx';
import { RatiosTable } from '../ledger/RatiosSection.tsx';
import { PlanSums, VisitsTable } from '../plan/PlanPanel.tsx';
import { useStore } from '../store.ts';
import { StripDrawing } from '../strip/StripDrawing.tsx';
import { stripLayout } from '../strip/stripLayout.ts';
import { stripRows } from '../strip/stripRows.ts';
import { useStudy } from '../study/studyStore.ts';
import { VisitSheet } from '../visits/VisitSheet.tsx';
import { PaperArchPicture } from './PaperArchPicture.tsx';
import { lineFigure, PaperFigures, PaperSeverity } from './PaperFigures.tsx';
import { PaperContacts, PaperScan, PaperSources, PaperWidths } from './PaperMeasures.tsx';
import { PaperOwnTenths } from './PaperOwnTenths.tsx';
import { PaperBoth, PaperEnamel, PaperPlan } from './PaperPlan.tsx';
import { usePrintChoice } from './printStore.ts';
import { ReportParts } from './ReportParts.tsx';
import { usePrinting } from './usePrinting.ts';
import './print.css';

/** Width of the printed drawing, px; it is scaled to the paper. */
const DRAWING_PX = 740;

/** The account and the plan on paper, A4 or Letter, legible in black and white. */
export function PrintSheets() {
  const inStudy = useStudy((state) => state.open); // the study has sheets of its own
  const printing = usePrinting();
  return printing && !inStudy ? <Sheets /> : null;
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
      <PaperScan record={record} />
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
          {unbroken(caution.text)}
        </p>
      ))}
      <PaperSources record={record} account={account} />
      {planned && (
        <section className="paper__plan">
          <h3>Reduction plan, {jawName(jaw).toLowerCase()}</h3>
          <PlanSums {...planned} />
          {amounts && <PaperOwnTenths amounts={amounts} />}
          {planned.plan.plannedMm > 0 && (
            <>
              <div className={planned.request.visits > 4 ? undefined : 'paper__two'}>
                <div>
                  <VisitsTable {...planned} />
                </div>
                <PaperArchPicture record={record} measures={account.measures} plan={planned.plan} />
              </div>
              {amounts && <PaperPlan record={record} amounts={amounts} />}
            </>
          )}
        </section>
      )}
      <section className="caution">
        <h3>Cautions</h3>
        <ul>
          {cautionsAt('plan').map((caution) => (
            <li key={caution.id}>{unbroken(caution.text)}</li>
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
