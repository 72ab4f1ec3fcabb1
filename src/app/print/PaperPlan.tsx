import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { BOTH_ORDER, bothReasons } from '../../core/reduction/bothReasons.ts';
import { enamelOverview } from '../../core/reduction/enamelOverview.ts';
import { habitForecast } from '../../core/reduction/habitForecast.ts';
import { planReach } from '../../core/reduction/planReasons.ts';
import { sideBalance } from '../../core/reduction/sidesInBalance.ts';
import { useBothPlans } from '../account/usePlan.ts';
import type { PlannedAmounts } from '../account/usePlannedAmounts.ts';
import { useRatios } from '../account/useRatios.ts';
import { fixed, mm, percent, sd, sentence, signed } from '../format.ts';
import { BandsTable } from '../plan/BandsTable.tsx';
import { ExceededLimits } from '../plan/BindsSection.tsx';
import { EnamelSources } from '../plan/EnamelSection.tsx';
import { EnamelTable } from '../plan/EnamelTable.tsx';
import { useCuttingWay } from '../plan/ForecastView.tsx';
import { RemeasuredTable } from '../plan/RemeasuredTable.tsx';

/** Below the visits of one arch on paper: limits exceeded, sides, forecast. */
export function PaperPlan({ record, amounts }: { record: ArchRecord; amounts: PlannedAmounts }) {
  const { plan, request, from } = amounts;
  const way = useCuttingWay(record.jaw);
  const { residualMeanMm, residualSdMm, chances } = habitForecast(plan, request, () => way.habit);
  const sides = sideBalance(plan);
  return (
    <>
      <ExceededLimits amounts={amounts} title="h4" />
      <p className="paper__note">
        Dashed: held back until a re-measurement. At most {percent(request.overshootRisk)} risk that the
        committed part exceeds the need. Right {mm(sides.rightMm)}&nbsp;mm, left {mm(sides.leftMm)}&nbsp;mm
        {record.plan.midline &&
          `; wished for: the middle ${fixed(Math.abs(record.plan.midline.shiftToRightMm))}\u00a0mm to the ${record.plan.midline.shiftToRightMm < 0 ? 'left' : 'right'}`}
        . {from === 'plan' && planReach(plan, request).heldBy.map(({ text }) => `${text} `)}
      </p>
      <h4>Space left at the end</h4>
      <p className="paper__note">
        Cut: {sentence(way.title)} Expected {signed(residualMeanMm)}&nbsp;mm {sd(residualSdMm)};{' '}
        {chances
          .map(
            ({ thresholdMm, chanceGap, chanceJam }) =>
              `beyond ${fixed(thresholdMm, 1)}\u00a0mm a gap ${percent(chanceGap)}, jamming ${percent(chanceJam)}`,
          )
          .join('; ')}
        . {sentence(way.source.text)}
        {way.note && ` ${sentence(way.note)}`}
      </p>
      <RemeasuredTable plan={plan} request={request} way={way} />
    </>
  );
}

/** Enamel of every surface on paper, with what the amounts in force leave of it. */
export function PaperEnamel({ amounts: { plan, limits } }: { amounts: PlannedAmounts }) {
  const rows = enamelOverview(limits, plan);
  return (
    <section className="paper__enamel">
      <h3>Enamel of every surface</h3>
      <EnamelTable rows={rows} record={null} />
      <EnamelSources rows={rows} />
    </section>
  );
}

/** Both arches weighed against their ratios; nothing while each is planned by itself. */
export function PaperBoth() {
  const both = useBothPlans();
  const ratios = useRatios();
  if (!both || !ratios || both.asked.bands.length === 0) return null;
  return (
    <section>
      <h3>Both arches together</h3>
      <BandsTable bands={both.asked.bands} ratios={ratios} />
      <p className="paper__note">{BOTH_ORDER.replace(' below', '')}</p>
      <p>{bothReasons(both.plans, both.asked.bands).join(' ')}</p>
    </section>
  );
}
