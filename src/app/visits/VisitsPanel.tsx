import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { VisitAccount } from '../../core/casefile/visitAccount.ts';
import { cautionsAt } from '../../core/reduction/cautions.ts';
import { usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { TextButton } from '../design/controls.tsx';
import { fixed, mm, percent, sd, unbroken } from '../format.ts';
import { OnlyProposed } from '../ledger/OnlyProposed.tsx';
import { proposedCount } from '../state/archEdits.ts';
import { BalanceSection } from './BalanceSection.tsx';
import { ClosureSection } from './ClosureSection.tsx';
import { FollowUpSection } from './FollowUpSection.tsx';
import { RestForecast } from './RestForecast.tsx';
import { SurfacesSection } from './SurfacesSection.tsx';
import { Timeline } from './Timeline.tsx';
import { useVisitAccount } from './useVisitAccount.ts';
import { showVisitDialog } from './visitsStore.ts';
import { verdictWords } from './visitWords.ts';
import './visits.css';

/** What was done visit by visit, what a later scan says of it, and what follows. */
export function VisitsPanel({ record }: { record: ArchRecord }) {
  const { jaw } = record;
  const amounts = usePlannedAmounts(jaw);
  const account = useVisitAccount(jaw);
  if (!amounts || !account)
    return (
      <div className="sheet">
        <p className="status__word">No plan yet</p>
        <p>Visits are recorded against a plan; there is one once the space account is complete.</p>
      </div>
    );
  return (
    <div className="sheet visiting">
      <VerdictSection record={record} account={account} />
      <Timeline record={record} account={account} plannedMm={amounts.plan.plannedMm} />
      <section className="caution" aria-labelledby="visit-cautions">
        <h3 id="visit-cautions">After each cut</h3>
        <ul>
          {cautionsAt('record').map((caution) => (
            <li key={caution.id}>{unbroken(caution.text)}</li>
          ))}
        </ul>
      </section>
      <BalanceSection account={account} />
      {account.balance.needed.valueMm < 0 && <ClosureSection record={record} account={account} />}
      <SurfacesSection surfaces={account.balance.surfaces} />
      <FollowUpSection record={record} account={account} />
      <div className="visiting__foot">
        <TextButton onPress={() => showVisitDialog({ kind: 'operator' })}>How this hand cuts…</TextButton>
        <TextButton onPress={() => showVisitDialog({ kind: 'versions' })}>Versions of this case…</TextButton>
      </div>
    </div>
  );
}

/** More, stop or close, with the figures it rests on and the reasons. */
function VerdictSection({ record, account }: { record: ArchRecord; account: VisitAccount }) {
  const { jaw } = record;
  const { verdict, needed, taken, override, rest } = account.balance;
  const isExcess = needed.valueMm <= 0;
  return (
    <section className={`sheet__section verdict verdict_${verdict.says}`} aria-labelledby="verdict">
      <div className="status" role="status">
        <p className="status__word" id="verdict">
          {verdictWords(account.balance, proposedCount(record))}
        </p>
        <OnlyProposed record={record} />
        {verdict.reasons.map((reason) => (
          <p key={reason} className="verdict__reason">
            {unbroken(reason)}
          </p>
        ))}
      </div>
      <dl className="sums sums_four num">
        <div>
          <dt>taken so far</dt>
          <dd>
            {fixed(taken.valueMm)} <span className="sums__unit">mm</span>
            <small>{sd(taken.sdMm)}</small>
          </dd>
        </div>
        <div>
          <dt>{isExcess ? 'in excess' : taken.valueMm > 0 ? 'still needed' : 'needed'}</dt>
          <dd>
            {fixed(Math.abs(needed.valueMm))} <span className="sums__unit">mm</span>
            <small>{sd(needed.sdMm)}</small>
          </dd>
        </div>
        <div>
          <dt>cut now</dt>
          <dd>
            {mm(verdict.commitMm, 1)} <span className="sums__unit">mm</span>
            <small>at {percent(rest.request.overshootRisk)} risk</small>
          </dd>
        </div>
        <div>
          <dt>held back</dt>
          <dd>
            {mm(rest.plan.heldBackMm, 1)} <span className="sums__unit">mm</span>
            <small>re-measure</small>
          </dd>
        </div>
      </dl>
      <RestForecast account={account} entries={record.visits ?? []} />
      {isExcess && override && (
        <p className="sheet__note">
          Cutting allowed in spite of it, until the next follow-up scan: {override.reason}
        </p>
      )}
      {isExcess && !override && (
        <TextButton small onPress={() => showVisitDialog({ kind: 'override', jaw })}>
          Allow cutting in spite of it…
        </TextButton>
      )}
    </section>
  );
}
