import type { BothPlans } from './planBothArches.ts';
import { tidyMm } from './stepAmounts.ts';
import type { RatioBand } from './twoArchModel.ts';

/** How two arches are weighed against each other, said wherever both are planned together. */
export const BOTH_ORDER =
  'Space goes before the ratio: each arch gives what its own account needs and its limits allow; the ratio only decides at which contacts. Nothing is taken beyond the need unless you allow it below.';

/** What came of planning both arches together, for people: sentence by sentence. Units: mm. */
export function bothReasons(plans: BothPlans, bands: readonly RatioBand[]): readonly string[] {
  if (bands.length === 0) return [];
  const texts: string[] = [];
  const ratio = bands.length > 1 ? 'ratios' : `${bands[0].kind} ratio`;
  const [lies, it] = bands.length > 1 ? ['lie', 'they'] : ['lies', 'it'];
  const given = amounts(plans.extraMm);
  if (plans.cost === null) {
    const how = given
      ? ` ${sentenceStart(given)} ${isOne(plans.extraMm) ? 'is' : 'are'} taken for it beyond the need.`
      : plans.sharesMoved
        ? ' Tenths were moved between contacts for it; none were added.'
        : ' No tenth had to be moved for it.';
    texts.push(`After the plan the ${ratio} ${lies} in the band.${how}`);
  } else {
    texts.push(
      `After the plan the ${ratio} ${lies} ${plans.outsideBandsMm.toFixed(2)} mm of lower arch outside the band.`,
    );
    if (given)
      texts.push(
        `${sentenceStart(given)} ${isOne(plans.extraMm) ? 'is' : 'are'} taken for it beyond the need.`,
      );
    const more = {
      upper: tidyMm(Math.max(0, plans.cost.extraMm.upper - plans.extraMm.upper)),
      lower: tidyMm(Math.max(0, plans.cost.extraMm.lower - plans.extraMm.lower)),
    };
    const asks = amounts(more);
    if (asks) {
      texts.push(
        `The band asks for ${asks.replace(/ mm/g, ' mm more')}, which the account does not need${given ? ' and you do not allow' : ''}.`,
      );
      if (plans.cost.outsideBandsMm > 0)
        texts.push(`Even then ${it} would stay ${plans.cost.outsideBandsMm.toFixed(2)} mm outside.`);
    } else texts.push('The limits allow nothing that would bring it nearer.');
  }
  if (given)
    texts.push(
      'What is taken beyond the need leaves that much space between the teeth; it is held back until a re-measurement.',
    );
  return texts;
}

/** "0.3 mm in the lower", "0.1 mm in the upper and 0.2 mm in the lower", or null where there is nothing. */
function amounts({ upper, lower }: BothPlans['extraMm']): string | null {
  const parts = [
    ...(upper > 0 ? [`${shown(upper)} mm in the upper`] : []),
    ...(lower > 0 ? [`${shown(lower)} mm in the lower`] : []),
  ];
  return parts.length === 0 ? null : parts.join(' and ');
}

const isOne = ({ upper, lower }: BothPlans['extraMm']): boolean => upper === 0 || lower === 0;
const sentenceStart = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** At least one decimal, more where the step is finer. */
const shown = (mm: number): string =>
  Math.abs(mm * 10 - Math.round(mm * 10)) < 1e-6 ? mm.toFixed(1) : mm.toFixed(2);
