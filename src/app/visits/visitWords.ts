import type { Balance } from '../../core/visits/balance.ts';
import type { CutEntry, CutMeasured, CuttingInstrument } from '../../core/visits/CutEntry.ts';
import { asEstimate, cutEstimate } from '../../core/visits/cutEstimate.ts';
import type { CutPlace } from '../../core/visits/operatorRecord.ts';
import type { Verdict } from '../../core/visits/verdict.ts';
import { day, fixed, mm } from '../format.ts';

export const INSTRUMENT_NAMES: Readonly<Record<CuttingInstrument, string>> = {
  strip: 'Strip',
  bur: 'Bur',
  disc: 'Disc',
  'oscillating-strip': 'Oscillating strip',
  other: 'Other',
};

export const WAY_NAMES: Readonly<Record<CutMeasured['by'], string>> = {
  gauge: 'Gauge',
  feel: 'By feel',
  caliper: 'Caliper',
  'not-cut': 'Not cut',
};

export const PLACE_NAMES: Readonly<Record<CutPlace | 'all', string>> = {
  front: 'front',
  premolar: 'premolars',
  molar: 'molars',
  all: 'everywhere',
};

/** What the balance says, in a word; a first cut is not spoken of while marks behind it are only proposed. */
export function verdictWords(
  { verdict, recorded, taken, neededFrom }: Balance,
  proposedMarks: number,
): string {
  const isFirst =
    verdict.says === 'more' && taken.valueMm === 0 && recorded.valueMm === 0 && neededFrom === 'account';
  if (!isFirst) return VERDICT_WORDS[verdict.says];
  return proposedMarks > 0 ? 'First look at the proposed marks' : 'Nothing taken yet';
}

const VERDICT_WORDS: Readonly<Record<Verdict['says'], string>> = {
  more: 'Cut more',
  stop: 'Stop cutting',
  close: 'Stop cutting and close the space',
};

/** "gauge 0.3 passes, 0.4 stops" */
function wayInWords(how: CutMeasured): string {
  switch (how.by) {
    case 'gauge':
      return [
        `gauge ${fixed(how.passesMm, 1)} passes`,
        how.stopsMm !== null && `${fixed(how.stopsMm, 1)} stops`,
        how.beforeMm > 0 && `${fixed(how.beforeMm, 1)} passed before`,
      ]
        .filter(Boolean)
        .join(', ');
    case 'feel':
      return 'by feel';
    case 'caliper':
      return 'by caliper';
    default:
      return 'not cut';
  }
}

/** "0.35 mm, gauge 0.3 passes, 0.4 stops, strip" */
export const entryInWords = ({ how, instrument, note }: CutEntry): string =>
  how.by === 'not-cut'
    ? `not cut${note && `: ${note}`}`
    : `${mm(asEstimate(cutEstimate(how)).valueMm)} mm, ${wayInWords(how)}, ${INSTRUMENT_NAMES[instrument].toLowerCase()}${note && `; ${note}`}`;

/** A stored day, 2026-01-31, as it is read: "31 January 2026". */
export const dayOf = (date: string): string => day(new Date(`${date}T12:00:00`));

/** Today as it is stored: 2026-01-31, by the clock on the wall. */
export function today(): string {
  const now = new Date();
  const two = (value: number): string => String(value).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
