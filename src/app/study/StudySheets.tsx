import { createPortal } from 'react-dom';
import { day } from '../format.ts';
import { usePrinting } from '../print/usePrinting.ts';
import { useStore } from '../store.ts';
import { AcceptanceWords } from './AcceptancePanel.tsx';
import { AllPairsTable, GroupsTable, Summary } from './FigureTables.tsx';
import { methodsText } from './methodsText.ts';
import { PlotFigure, plotsOf } from './PlotsPanel.tsx';
import { SeveralPanel } from './SeveralPanel.tsx';
import type { StudyResult } from './studyData.ts';
import { useStudy } from './studyStore.ts';

/** The study on paper, A4 or Letter: figures, plots, methods and the values themselves. */
export function StudySheets({ result }: { result: StudyResult }) {
  return usePrinting() ? createPortal(<Sheets result={result} />, document.body) : null;
}

function Sheets({ result }: { result: StudyResult }) {
  const title = useStore((state) => state.caseDocument.title);
  const source = useStudy((state) => state.source);
  const fileName = useStudy((state) => state.table.fileName);
  const conventions = useStudy((state) => state.conventions);
  const acceptance = useStudy((state) => state.acceptance);
  const { data } = result;
  return (
    <div className="paper study-paper">
      <header className="paper__head">
        <h1>
          Study: {data.names[0]} and {data.names[1]}
        </h1>
        <p>
          {source === 'table' ? fileName : title}
          <br />
          Archledger
          <br />
          printed {day(new Date())}
        </p>
      </header>
      <section>
        <Summary result={result} />
        {data.remarks.map(({ message }) => (
          <p key={message} className="paper__note">
            {message}
          </p>
        ))}
        <AllPairsTable result={result} />
      </section>
      <section>
        <GroupsTable result={result} />
      </section>
      <SeveralPanel result={result} still />
      <section className="study-paper__plots">
        <h2>Plots</h2>
        <div>
          {plotsOf(result).map((kind) => (
            <PlotFigure key={kind} kind={kind} result={result} still />
          ))}
        </div>
      </section>
      <section className="study-paper__whole">
        <h2>Acceptance and size</h2>
        <AcceptanceWords result={result} />
      </section>
      <section>
        <h2>Methods</h2>
        <p className="study-paper__methods">{methodsText(result, conventions, acceptance)}</p>
      </section>
      <section>
        <h2>Values{data.unit && `, ${data.unit}`}</h2>
        <Values result={result} />
      </section>
    </div>
  );
}

const VALUES_MAX = 400; // more belong into the CSV

function Values({ result: { data } }: { result: StudyResult }) {
  if (data.rows.length > VALUES_MAX)
    return <p>{data.rows.length} rows; they are in the CSV of the pairs, not on paper.</p>;
  const value = (of: number | null): string =>
    of === null ? 'missing' : String(Math.round(of * 1000) / 1000);
  return (
    <ul className="study-paper__values">
      {data.rows.map(({ label, by, a, b }, i) => (
        <li key={i}>
          <b>{label}</b>
          {by && by !== label && ` ${by}`}: {value(a)}, {value(b)}
        </li>
      ))}
    </ul>
  );
}
