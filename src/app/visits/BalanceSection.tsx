import { Button } from 'react-aria-components';
import type { VisitAccount } from '../../core/casefile/visitAccount.ts';
import type { Estimate } from '../../core/measure/ArchMeasures.ts';
import { asEstimate } from '../../core/visits/cutEstimate.ts';
import type { NeedFrom } from '../../core/visits/verdict.ts';
import { contactLabel, fixed, mm, sd, signed } from '../format.ts';
import { useStore } from '../store.ts';
import { selectContact } from '../strip/select.ts';

const FROM_WORDS: Readonly<Record<NeedFrom, string>> = {
  account: 'first account less enamel taken',
  remeasured: 'marks of the follow-up scan',
  separations: 'separations on the follow-up scan',
};

/** Planned, recorded and measured side by side, contact by contact; then the need by each way there is. */
export function BalanceSection({ account, still = false }: { account: VisitAccount; still?: boolean }) {
  const { balance } = account;
  return (
    <section className="sheet__section" aria-labelledby="visit-balance">
      <div className="sheet__head">
        <h3 className="sheet__title" id="visit-balance">
          Planned, recorded, measured
        </h3>
        <span className="sheet__note">enamel, mm ± SD</span>
      </div>
      <BalanceTable account={account} still={still} />
      <table className="grid num needs" aria-label="Space still needed, by each way of knowing it">
        <thead>
          <tr>
            <th scope="col">Space (+ too much, − too little)</th>
            <th scope="col">mm</th>
            <th scope="col">SD</th>
          </tr>
        </thead>
        <tbody>
          <NeedRow
            what="First account less enamel taken"
            need={balance.predicted}
            isUsed={balance.neededFrom === 'account'}
          />
          <NeedRow
            what="Marks of the follow-up scan"
            need={balance.remeasured}
            isUsed={balance.neededFrom === 'remeasured'}
            why={account.followUps.length === 0 ? 'no follow-up scan' : 'the follow-up scan is not marked'}
          />
          <NeedRow
            what="Separations on the follow-up scan"
            need={balance.bySeparations}
            isUsed={balance.neededFrom === 'separations'}
            why={account.followUps.at(-1)?.whyNotBySeparations ?? 'no follow-up scan'}
          />
        </tbody>
      </table>
      <p className="sheet__note">
        The verdict rests on: {FROM_WORDS[balance.neededFrom]}.
        {account.followUps.length > 0 &&
          ' Marks of a follow-up scan are proposed by the program; allowances of the first account count again.'}
      </p>
    </section>
  );
}

function NeedRow({
  what,
  need,
  isUsed,
  why = '',
}: {
  what: string;
  need: Estimate | null;
  isUsed: boolean;
  why?: string;
}) {
  return (
    <tr className={isUsed ? 'needs__used' : undefined}>
      <th scope="row">
        {what}
        {!need && <span className="account__standing">{why}</span>}
      </th>
      <td>{need ? signed(-need.valueMm) : '–'}</td>
      <td>{need ? sd(need.sdMm) : ''}</td>
    </tr>
  );
}

function BalanceTable({ account, still = false }: { account: VisitAccount; still?: boolean }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const { balance } = account;
  const rows = balance.rows.filter(
    (row) => row.plannedMm > 0 || row.recorded.valueMm > 0 || row.measured !== null || row.restMm > 0,
  );
  if (rows.length === 0) return <p className="sheet__note">Nothing planned, recorded or measured.</p>;
  return (
    <table className="grid num ledgered" aria-label="Planned, recorded and measured, contact by contact">
      <thead>
        <tr>
          <th scope="col">Contact</th>
          <th scope="col">planned</th>
          <th scope="col">recorded</th>
          <th scope="col">measured</th>
          <th scope="col">taken</th>
          <th scope="col">to go</th>
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr key={row.teeth.join('-')} className={row.overCutMm > 0.05 ? 'ledgered__over' : undefined}>
            <th scope="row">
              {still ? (
                contactLabel(row.teeth, notation)
              ) : (
                <Button
                  className="visits__contact"
                  aria-label={`Select contact ${contactLabel(row.teeth, notation)}`}
                  onPress={() => selectContact(row.teeth)}
                >
                  {contactLabel(row.teeth, notation)}
                </Button>
              )}
            </th>
            <td>{fixed(row.plannedMm, 1)}</td>
            <td>
              <Value estimate={row.recorded.valueMm > 0 ? asEstimate(row.recorded) : null} />
            </td>
            <td>
              <Value estimate={row.measured} />
            </td>
            <td>
              <Value estimate={asEstimate(row.taken)} />
              {row.overCutMm > 0.05 && <span className="ledgered__flag">{fixed(row.overCutMm)} over</span>}
              {row.disagree && <span className="ledgered__flag">scan differs</span>}
            </td>
            <td>
              {row.restMm - row.restHeldBackMm > 1e-9 || row.restMm === 0
                ? fixed(row.restMm - row.restHeldBackMm, 1)
                : ''}
              {row.restHeldBackMm > 0 && (
                <small>
                  <span className="held">{fixed(row.restHeldBackMm, 1)}</span> held
                </small>
              )}
            </td>
          </tr>
        ))}
      </tbody>
      <tfoot>
        <tr>
          <th scope="row">Sum</th>
          <td>{fixed(balance.plannedMm, 1)}</td>
          <td>
            <Value estimate={balance.recorded} />
          </td>
          <td>
            <Value estimate={balance.measured} />
          </td>
          <td>
            <Value estimate={balance.taken} />
          </td>
          <td>{fixed(balance.rest.plan.plannedMm, 1)}</td>
        </tr>
      </tfoot>
    </table>
  );
}

export function Value({ estimate }: { estimate: Estimate | null }) {
  if (!estimate) return <>–</>;
  return (
    <>
      {mm(estimate.valueMm)}
      <small className="ledgered__sd">{sd(estimate.sdMm)}</small>
    </>
  );
}
