import type { Source } from '../base/Source.ts';
import type { PlanSettings } from './CaseDocument.ts';

/** Why each setting of a new plan begins where it does; shown beside the setting. */
export const PLAN_DEFAULT_SOURCES: Readonly<
  Record<keyof Omit<PlanSettings, 'contacts' | 'midline'>, Source>
> = {
  neededMm: { standing: 'computed', text: 'the shortage found by the space account' },
  stepMm: {
    standing: 'secondary',
    text: 'gauges read to 0.1 mm: Chudasama D, Sheridan JJ, J Clin Orthod 2007;41:315–320',
  },
  overshootRisk: {
    standing: 'practice',
    text: 'one-sided 5 %: at most one chance in twenty that what is committed exceeds what is needed; the rest is held back until a re-measurement, because enamel does not grow back',
  },
  visits: { standing: 'practice', text: 'four visits; common practice, no source' },
  perVisitLimitMm: {
    standing: 'memory',
    text: '0.2–0.3 mm per front contact and visit; from memory, unverified',
  },
};

/** Settings of a new plan; see PLAN_DEFAULT_SOURCES for where each comes from. */
export const PLAN_DEFAULTS: PlanSettings = {
  neededMm: null,
  stepMm: 0.1,
  overshootRisk: 0.05,
  visits: 4,
  perVisitLimitMm: 0.3,
  contacts: [],
};
