import { fixed } from '../format.ts';
import { digitsFor, interval } from './figureRows.ts';
import type { StudyResult } from './studyData.ts';

const UNLIKE_R = 0.3;
const DOUBT_FROM_PAIRS = 6;

/** What the comparison says, in sentences for who does not read the table. */
export function summaryOf({ data, study }: StudyResult): readonly string[] {
  const { figures } = study.groups[0];
  const [first, second] = data.names;
  const digits = digitsFor(figures.agreement?.sd);
  const unit = data.unit ? `\u00a0${data.unit}` : '';
  const lines: string[] = [];
  if (figures.bias !== null && figures.agreement) {
    const { biasCi, limits } = figures.agreement;
    const isClear = biasCi[0] > 0 || biasCi[1] < 0;
    lines.push(
      `On average ${first} is ${fixed(Math.abs(figures.bias), digits)}${unit} ${figures.bias < 0 ? 'below' : 'above'} ${second}; ${isClear ? 'the 95 % interval does not hold 0' : '0 lies within the 95 % interval, so that no steady difference is shown'}.`,
      `For 95 in 100 such pairs the difference is expected between ${interval(limits, digits)}${unit}.`.replace(
        ' to ',
        ' and ',
      ),
    );
  }
  if (figures.dahlberg !== null)
    lines.push(
      `Error of a single measurement, a steady difference counted in: ${fixed(figures.dahlberg, digits)}${unit} (Dahlberg).`,
    );
  return lines;
}

/** A warning where the two columns hardly look like measurements of the same things; null where they do. */
export function doubtOf({ study }: StudyResult): string | null {
  const { n, pearson } = study.groups[0].figures;
  if (n < DOUBT_FROM_PAIRS || !pearson || pearson.value >= UNLIKE_R) return null;
  return `The two columns hardly go together (r ${fixed(pearson.value, 2)}). Are these the right columns, in the same order?`;
}
