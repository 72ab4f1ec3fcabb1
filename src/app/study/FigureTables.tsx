import { CONVENTION_CHOICES, type StudyConventions } from '../../core/study/Conventions.ts';
import { SelectField, TextButton } from '../design/controls.tsx';
import { download, fileStem } from '../files/caseFiles.ts';
import { fixed, mm } from '../format.ts';
import { csvText } from '../storage/csvText.ts';
import { actions } from '../store.ts';
import { digitsFor, figureRows, figuresTable, interval } from './figureRows.ts';
import { ReplicatesPanel } from './ReplicatesPanel.tsx';
import { SeveralPanel } from './SeveralPanel.tsx';
import type { StudyResult } from './studyData.ts';
import { setStudy, useStudy } from './studyStore.ts';
import { doubtOf, summaryOf } from './summary.ts';

/** Every figure of all pairs, and the main ones of each group. */
export function FigureTables({ result }: { result: StudyResult }) {
  const { data } = result;
  return (
    <section className="study__part" aria-labelledby="study-figures">
      <header className="study__parthead">
        <h2 id="study-figures">Figures</h2>
        <TextButton small onPress={() => saveFigures(result)}>
          Save figures as CSV
        </TextButton>
        <TextButton small onPress={() => savePairs(result)}>
          Save pairs as CSV
        </TextButton>
      </header>
      <Summary result={result} />
      {data.remarks.map(({ message }) => (
        <p key={message} className="soft">
          {message}
        </p>
      ))}
      <Conventions />
      <AllPairsTable result={result} />
      <GroupsTable result={result} />
      <ReplicatesPanel result={result} />
      <SeveralPanel result={result} />
    </section>
  );
}

/** What was compared and what came of it, in three sentences. */
export function Summary({ result }: { result: StudyResult }) {
  const { data, study } = result;
  const missing = data.rows.filter(({ a, b }) => a === null || b === null).length;
  const doubt = doubtOf(result);
  return (
    <>
      <p className="num study__wrap">
        {data.names[0]} − {data.names[1]}: <b>{study.groups[0].figures.n}</b> pairs
        {missing > 0 && `; ${missing} left out, a value is missing`}.
      </p>
      {doubt && <p className="study__why">{doubt}</p>}
      <ul className="study__summary">
        {summaryOf(result).map((line) => (
          <li key={line}>{line}</li>
        ))}
      </ul>
    </>
  );
}

export function AllPairsTable({ result: { data, study, york } }: { result: StudyResult }) {
  return (
    <table className="grid study__figures">
      <caption className="visually-hidden">Figures of all pairs</caption>
      <thead>
        <tr>
          <th scope="col">all pairs</th>
          <th scope="col">value</th>
          <th scope="col">95 % interval, or test</th>
        </tr>
      </thead>
      <tbody>
        {figureRows(study.groups[0].figures, data.unit, york).map(({ label, value, ci, why }) => (
          <tr key={label}>
            <th scope="row">{label}</th>
            <td>{value}</td>
            <td>{ci || <span className="soft">{why}</span>}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

export function GroupsTable({ result: { data, study } }: { result: StudyResult }) {
  const [all, ...groups] = study.groups;
  if (groups.length === 0) return null;
  const digits = digitsFor(all.figures.agreement?.sd);
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a table that scrolls sideways is reached by keys.
    <section className="study__wide" tabIndex={0} aria-label="Figures by group, scrolls sideways">
      <table className="grid">
        <caption className="visually-hidden">Figures by group</caption>
        <thead>
          <tr>
            <th scope="col">group{data.unit && `, ${data.unit}`}</th>
            <th scope="col">n</th>
            <th scope="col">bias (95 %)</th>
            <th scope="col">SD</th>
            <th scope="col">limits of agreement</th>
            <th scope="col">Dahlberg</th>
            <th scope="col">ICC (2,1) (95 %)</th>
            <th scope="col">Lin</th>
          </tr>
        </thead>
        <tbody>
          {groups.map(({ by, figures }) => {
            const { agreement, icc } = figures;
            return (
              <tr key={by}>
                <th scope="row">{by}</th>
                <td>{figures.n}</td>
                <td>
                  {mm(figures.bias, digits)}{' '}
                  {agreement && <span className="soft">{interval(agreement.biasCi, digits)}</span>}
                </td>
                <td>{mm(agreement?.sd, digits)}</td>
                <td>{interval(agreement?.limits, digits) || '–'}</td>
                <td>{mm(figures.dahlberg, digits)}</td>
                <td>
                  {mm(icc?.single2.value, 3)} <span className="soft">{interval(icc?.single2.ci, 3)}</span>
                </td>
                <td>{figures.linCcc ? fixed(figures.linCcc.value, 3) : '–'}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
}

/** Conventions on which published work differs. */
function Conventions() {
  const conventions = useStudy((state) => state.conventions);
  return (
    <details className="study__conventions">
      <summary>
        Conventions of the statistics: {CONVENTION_CHOICES.length}, the first{' '}
        {CONVENTION_CHOICES[0].options.find(({ id }) => id === conventions.limitsFactor)?.label}
      </summary>
      <div className="study__fields">
        {CONVENTION_CHOICES.map(({ id, label, options }) => (
          <SelectField
            key={id}
            label={label}
            choices={options.map((option) => ({
              id: option.id,
              label: option.label,
              note: option.source.text,
            }))}
            value={conventions[id]}
            onChange={(option) =>
              setStudy({ conventions: { ...conventions, [id]: option } as StudyConventions })
            }
          />
        ))}
      </div>
    </details>
  );
}

function saveFigures({ study }: StudyResult): void {
  const text = csvText(figuresTable(study.groups));
  download(`${fileStem()}-study-figures.csv`, text, 'text/csv;charset=utf-8');
  actions().announce('Figures saved as CSV.');
}

function savePairs({ data }: StudyResult): void {
  const rows = data.rows.map(({ label, by, a, b }) => [
    label,
    by ?? '',
    a === null ? '' : String(a),
    b === null ? '' : String(b),
  ]);
  const text = csvText({ header: ['row', 'group', data.names[0], data.names[1]], rows });
  download(`${fileStem()}-study-pairs.csv`, text, 'text/csv;charset=utf-8');
  actions().announce('Pairs saved as CSV.');
}
