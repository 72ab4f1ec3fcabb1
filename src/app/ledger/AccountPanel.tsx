import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchMeasures, MeasureWarning } from '../../core/measure/ArchMeasures.ts';
import { cautionsAt } from '../../core/reduction/cautions.ts';
import type { Ledger, PerimeterMethod } from '../../core/space/Ledger.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { Segments, TextButton } from '../design/controls.tsx';
import { fixed, jawName, mm, percent, sd, signed, unbroken } from '../format.ts';
import { actions } from '../store.ts';
import { AllowancesEditor } from './AllowancesEditor.tsx';
import { sayingBalance, useBalanceChange } from './balanceChange.ts';
import { type Figure, FigureTable } from './FigureTable.tsx';
import { OnlyProposed } from './OnlyProposed.tsx';
import { Opens } from './Opens.tsx';
import { PerimeterTable } from './PerimeterTable.tsx';
import { PredictionChoice } from './PredictionChoice.tsx';
import { SeverityTable } from './SeverityTable.tsx';

export const ledgerFigures = (ledger: Ledger): readonly Figure[] =>
  ledger.entries.map((entry) => ({
    id: entry.id,
    what: entry.what,
    valueMm: entry.amountMm,
    sdMm: entry.sdMm,
    source: entry.source,
    missing: entry.missing,
    teeth: entry.evidenceTeeth,
    remark: entry.note ?? undefined,
    varianceShare: entry.varianceShare,
  }));

/** Shortage, excess or neither, in words. */
function balanceWord(differenceMm: number | null): string {
  if (differenceMm === null) return 'Not known yet';
  if (Math.abs(differenceMm) < 0.05) return 'Even';
  return differenceMm < 0 ? 'Space shortage' : 'Space excess';
}

export function Balance({ ledger }: { ledger: Ledger }) {
  const { differenceMm, sdMm } = ledger;
  return (
    <div className="balance">
      <span className="balance__word">{balanceWord(differenceMm)}</span>
      {differenceMm !== null && (
        <span className="balance__figure">
          {fixed(Math.abs(differenceMm))}
          <small> mm {sd(sdMm)}</small>
        </span>
      )}
      <p className="balance__more">
        {differenceMm !== null && sdMm !== null && (
          <>
            available − required = {signed(differenceMm)}&nbsp;mm; with 95 % certainty between{' '}
            {signed(differenceMm - 1.96 * sdMm)} and {signed(differenceMm + 1.96 * sdMm)}&nbsp;mm
          </>
        )}
        {differenceMm === null && ledger.missing.length > 0 && <>Missing: {ledger.missing.join('; ')}</>}
      </p>
    </div>
  );
}

/** What the last choice made of the balance; gone once the balance has moved on. */
function LastChange({ ledger }: { ledger: Ledger }) {
  const last = useBalanceChange((state) => state.last);
  if (!last || last.jaw !== ledger.jaw || ledger.differenceMm !== last.afterMm) return null;
  const { what, beforeMm, afterMm } = last;
  return (
    <p className="balance__change num">
      {what}: {signed(beforeMm)} → {signed(afterMm)}&nbsp;mm, <b>{signed(afterMm - beforeMm)}&nbsp;mm</b>
    </p>
  );
}

/** Balance of the opposing arch in one line, where there is one. */
function OtherArch({ jaw }: { jaw: Jaw }) {
  const account = useArchAccount(jaw);
  const amounts = usePlannedAmounts(jaw);
  if (!account) return null;
  const { differenceMm, sdMm } = account.ledger;
  return (
    <p className="other-arch">
      <TextButton small onPress={() => actions().setActiveJaw(jaw)}>
        {jawName(jaw)}
      </TextButton>
      <span className="num">
        {balanceWord(differenceMm).toLowerCase()}{' '}
        {differenceMm !== null && (
          <>
            <b>{fixed(Math.abs(differenceMm))}&nbsp;mm</b> {sd(sdMm)}
          </>
        )}
        {amounts && amounts.plan.plannedMm > 0 && <>, planned {mm(amounts.plan.plannedMm, 1)}&nbsp;mm</>}
      </span>
    </p>
  );
}

export function LedgerFoot({ ledger }: { ledger: Ledger }) {
  return (
    <tfoot>
      <tr>
        <th scope="row">{balanceWord(ledger.differenceMm)}</th>
        <td className="account__mm">{ledger.differenceMm === null ? '–' : signed(ledger.differenceMm)}</td>
        <td className="account__sd">{sd(ledger.sdMm)}</td>
        <td className="account__share">{ledger.sdMm ? percent(1) : ''}</td>
      </tr>
    </tfoot>
  );
}

const PERIMETERS = ['line', 'four-segments', 'six-segments'] as const;
const PERIMETER_NAMES: Readonly<Record<PerimeterMethod, string>> = {
  line: 'Arch line',
  'four-segments': 'Four segments',
  'six-segments': 'Six segments',
};

/** The space account of one arch: every entry adds space (+) or needs it (−), and they add up to the balance. */
export function AccountPanel({
  record,
  measures,
  ledger,
}: {
  record: ArchRecord;
  measures: ArchMeasures;
  ledger: Ledger;
}) {
  return (
    <div className="sheet">
      <section className="sheet__section" aria-label="Balance">
        <Balance ledger={ledger} />
        <LastChange ledger={ledger} />
        <OnlyProposed record={record} />
        <OtherArch jaw={record.jaw === 'upper' ? 'lower' : 'upper'} />
      </section>
      <section className="sheet__section" aria-labelledby="account-entries">
        <div className="sheet__head">
          <h3 className="sheet__title" id="account-entries">
            Account
          </h3>
          <span className="sheet__note">open a line for its evidence</span>
        </div>
        <Segments
          label="Space available is measured by"
          small
          value={record.perimeter}
          onChange={(perimeter) =>
            sayingBalance(record.jaw, PERIMETER_NAMES[perimeter], () =>
              actions().setPerimeter(record.jaw, perimeter),
            )
          }
          choices={PERIMETERS.map((id) => ({ id, label: PERIMETER_NAMES[id] }))}
        />
        <FigureTable
          caption="Space account"
          figures={ledgerFigures(ledger)}
          showSign
          foot={<LedgerFoot ledger={ledger} />}
        />
        {ledger.availableMm !== null && ledger.requiredMm !== null && (
          <p className="sheet__note num">
            available {mm(ledger.availableMm)}&nbsp;mm, required {mm(ledger.requiredMm)}&nbsp;mm. Share: part
            of the balance’s variance that an entry answers for; entries that rest on the same marks share it,
            so one can lie below 0.
          </p>
        )}
        <Opens name="What another arch form or segments would change">
          <PerimeterTable record={record} />
        </Opens>
        {ledger.differenceMm !== null && ledger.differenceMm < 0 && (
          <Opens name="How severe, by the bands of each source">
            <SeverityTable shortageMm={-ledger.differenceMm} sdMm={ledger.sdMm} />
          </Opens>
        )}
      </section>
      <PredictionChoice record={record} measures={measures} />
      <AllowancesEditor record={record} measures={measures} />
      <Remarks warnings={measures.warnings} />
      {cautionsAt('measure').map((caution) => (
        <p key={caution.id} className="sheet__note">
          {unbroken(caution.text)}
        </p>
      ))}
    </div>
  );
}

function Remarks({ warnings }: { warnings: readonly MeasureWarning[] }) {
  if (warnings.length === 0) return null;
  return (
    <section className="sheet__section" aria-labelledby="remarks">
      <h3 className="sheet__title" id="remarks">
        Remarks
      </h3>
      <ul className="remarks">
        {warnings.map((warning, i) => (
          <li key={`${warning.code}-${i}`}>{unbroken(warning.message)}</li>
        ))}
      </ul>
    </section>
  );
}
