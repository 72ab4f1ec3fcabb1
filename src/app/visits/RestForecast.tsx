import type { VisitAccount } from '../../core/casefile/visitAccount.ts';
import type { InstrumentClass } from '../../core/reduction/cuttingHabit.ts';
import { cuttingPrior } from '../../core/reduction/cuttingPriors.ts';
import { habitForecast } from '../../core/reduction/habitForecast.ts';
import { type CutEntry, standingEntries } from '../../core/visits/CutEntry.ts';
import { operatorHabit } from '../../core/visits/operatorRecord.ts';
import { fixed, percent, sd } from '../format.ts';
import { useOperatorCuts } from './operatorSince.ts';
import { INSTRUMENT_NAMES } from './visitWords.ts';

const PRIOR = cuttingPrior('rounded');

/** Space likely to be left if what is committed now is cut as this hand cuts with the instrument used last. */
export function RestForecast({ account, entries }: { account: VisitAccount; entries: readonly CutEntry[] }) {
  const cuts = useOperatorCuts((state) => state.cuts);
  const { rest, verdict } = account.balance;
  if (verdict.says !== 'more' || !PRIOR) return null;
  const last = standingEntries(entries).at(-1)?.instrument ?? 'strip';
  const instrument: InstrumentClass = last === 'other' ? 'strip' : last;
  const forecast = habitForecast(rest.plan, rest.request, operatorHabit(cuts, PRIOR, instrument), {
    heldBack: 'left',
  });
  const [{ thresholdMm, chanceGap }] = forecast.chances;
  return (
    <p className="sheet__note num verdict__forecast">
      Likely after this cut, by {INSTRUMENT_NAMES[instrument].toLowerCase()} and as{' '}
      {cuts.length > 0
        ? `this hand’s record of ${cuts.length} contacts says`
        : 'published studies found cutting to turn out'}
      : {fixed(Math.abs(forecast.residualMeanMm))}&nbsp;mm {sd(forecast.residualSdMm)}{' '}
      {forecast.residualMeanMm > 0 ? 'too much space' : 'still short'}; chance of a gap above {thresholdMm}
      &nbsp;mm: {percent(chanceGap)}.
    </p>
  );
}
