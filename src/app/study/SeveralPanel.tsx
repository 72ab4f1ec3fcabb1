import type { RepeatedReadings } from '../../core/study/repeatedReadings.ts';
import { TextButton } from '../design/controls.tsx';
import { download, fileStem } from '../files/caseFiles.ts';
import { fixed } from '../format.ts';
import { csvText } from '../storage/csvText.ts';
import { actions } from '../store.ts';
import { digitsFor, interval, pWord } from './figureRows.ts';
import type { SeveralResult } from './severalReadings.ts';
import type { StudyResult } from './studyData.ts';

/** Three or more readings compared all together; nothing where there are fewer. */
export function SeveralPanel({ result, still = false }: { result: StudyResult; still?: boolean }) {
  const { several, data } = result;
  if (!several) return null;
  const count = data.several?.readings.length ?? 0;
  return (
    <section className="study__part" aria-labelledby="study-several">
      <header className="study__parthead">
        <h3 id="study-several">All {count} readings together</h3>
        {!still && 'ok' in several && (
          <TextButton small onPress={() => saveSeveral(several.ok, data.unit)}>
            Save these as CSV
          </TextButton>
        )}
      </header>
      {'why' in several ? <p>{several.why}</p> : <Several found={several.ok} unit={data.unit} />}
    </section>
  );
}

interface Row {
  readonly label: string;
  readonly value: string;
  readonly ci: string;
}

const errorRows = (what: string, of: RepeatedReadings, unit: string, digits: number): readonly Row[] => [
  {
    label: `SD within subjects, ${what}${unit}`,
    value: fixed(of.withinSd, digits),
    ci: interval(of.withinSdCi, digits),
  },
  {
    label: `Repeatability coefficient, ${what}${unit}`,
    value: fixed(of.repeatability, digits),
    ci: interval(of.repeatabilityCi, digits),
  },
];

/** The figures of several readings in the order a report gives them. */
export function severalRows(found: SeveralResult, unitWord: string): readonly Row[] {
  const { any, sameObserver, icc, biases } = found;
  const digits = digitsFor(any.withinSd);
  const unit = unitWord ? `, ${unitWord}` : '';
  const iccRow = (
    label: string,
    of: { value: number | null; ci: readonly [number, number] | null },
  ): Row => ({
    label,
    value: of.value === null ? '–' : fixed(of.value, 4),
    ci: interval(of.ci, 4),
  });
  return [
    ...errorRows(sameObserver ? 'whoever reads' : 'any two readings', any, unit, digits),
    ...(sameObserver ? errorRows('the same observer', sameObserver, unit, digits) : []),
    { label: 'SD within subjects, % of the mean', value: fixed(any.withinPercent, 2), ci: '' },
    {
      label: `SD between subjects${unit}`,
      value: any.betweenSd === null ? '–' : fixed(any.betweenSd, digits),
      ci:
        any.f === null || any.p === null
          ? ''
          : `F ${fixed(any.f, 1)} with ${any.subjects - 1} and ${any.degreesOfFreedom} degrees of freedom, p ${pWord(any.p)}`,
    },
    ...(icc
      ? [
          iccRow('ICC (1,1), one-way, single', icc.single1),
          iccRow('ICC (2,1), agreement, single', icc.single2),
          iccRow('ICC (3,1), consistency, single', icc.single3),
        ]
      : []),
    ...(biases ?? []).map(({ bias, biasCi }, i) => ({
      label: `${found.names[i]} − mean of all${unit}`,
      value: fixed(bias, digits),
      ci: interval(biasCi, digits),
    })),
  ];
}

function Several({ found, unit }: { found: SeveralResult; unit: string }) {
  const { any } = found;
  const digits = digitsFor(any.withinSd);
  const inUnit = unit ? `\u00a0${unit}` : '';
  return (
    <>
      <p>
        {found.complete} subjects have all readings
        {found.incomplete > 0 && `, ${found.incomplete} more at least two; these count for the SD`}. Two
        readings of one subject are expected to differ by less than{' '}
        <b className="num">
          {fixed(any.repeatability, digits)}
          {inUnit}
        </b>{' '}
        in 95 of 100 pairs.
      </p>
      <table className="grid study__figures">
        <caption className="visually-hidden">Figures of all readings together</caption>
        <thead>
          <tr>
            <th scope="col">all readings</th>
            <th scope="col">value</th>
            <th scope="col">95 % interval, or test</th>
          </tr>
        </thead>
        <tbody>
          {severalRows(found, unit).map(({ label, value, ci }) => (
            <tr key={label}>
              <th scope="row">{label}</th>
              <td>{value}</td>
              <td>{ci}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}

function saveSeveral(found: SeveralResult, unit: string): void {
  const rows: (readonly string[])[] = [];
  const add = (figure: string, value: number | null, ci: readonly [number, number] | null = null): void => {
    rows.push([
      figure,
      value === null ? '' : String(value),
      ci ? String(ci[0]) : '',
      ci ? String(ci[1]) : '',
    ]);
  };
  const both = [
    ['any', found.any],
    ['sameObserver', found.sameObserver],
  ] as const;
  for (const [name, of] of both) {
    if (!of) continue;
    add(`${name}.withinSd`, of.withinSd, of.withinSdCi);
    add(`${name}.repeatability`, of.repeatability, of.repeatabilityCi);
    add(`${name}.degreesOfFreedom`, of.degreesOfFreedom);
    add(`${name}.betweenSd`, of.betweenSd);
  }
  for (const form of ['single1', 'single2', 'single3', 'average1', 'average2', 'average3'] as const)
    if (found.icc) add(`icc_${form}`, found.icc[form].value, found.icc[form].ci);
  for (const [i, { bias, biasCi }] of (found.biases ?? []).entries())
    add(`${found.names[i]} − mean`, bias, biasCi);
  const text = csvText({ header: ['figure', unit ? `value, ${unit}` : 'value', 'low', 'high'], rows });
  download(`${fileStem()}-study-readings.csv`, text, 'text/csv;charset=utf-8');
  actions().announce('Figures of all readings saved as CSV.');
}
