import { useEffect, useMemo, useRef } from 'react';
import { Segments, TextButton } from '../design/controls.tsx';
import { jawName } from '../format.ts';
import { actions, useStore } from '../store.ts';
import { AcceptancePanel } from './AcceptancePanel.tsx';
import { CaliperSource, CaliperUnseen, useCaliper } from './CaliperSource.tsx';
import { FigureTables } from './FigureTables.tsx';
import { MethodsPanel } from './MethodsPanel.tsx';
import { PlotsPanel } from './PlotsPanel.tsx';
import { ReadingsSource } from './ReadingsSource.tsx';
import './study.css';
import { StudySheets } from './StudySheets.tsx';
import {
  caseWidths,
  dataOfCaliper,
  dataOfReadings,
  dataOfTable,
  type OrWhy,
  orWhy,
  resultOf,
  type StudyData,
  type StudyResult,
  tableOf,
} from './studyData.ts';
import { type StudySource, setStudy, useStudy } from './studyStore.ts';
import { summaryOf } from './summary.ts';
import { TableSource } from './TableSource.tsx';

const SOURCES: readonly { readonly id: StudySource; readonly label: string }[] = [
  { id: 'table', label: 'Table' },
  { id: 'caliper', label: 'Caliper' },
  { id: 'readings', label: 'Readings of the scan' },
];

const close = (): void => setStudy({ open: false });

/** The study bench: two sets of measurements compared as a paper would report it. */
export function StudyRoom() {
  const room = useRef<HTMLElement>(null);
  const source = useStudy((state) => state.source);
  const jaw = useStore((state) => state.activeJaw);
  const unseen = useStudy((state) => state.source === 'caliper' && state.unseen);
  const result = useResult();
  const shown = result && 'ok' in result && !unseen ? result.ok : null;
  useSaid(shown);
  useEffect(() => {
    room.current?.focus();
    return () => {
      // The menu that led here is gone; its button takes the focus once the bench can have it again.
      requestAnimationFrame(() => document.querySelector<HTMLElement>('[data-case-menu]')?.focus());
    };
  }, []);
  useEffect(() => {
    const onKey = (event: KeyboardEvent): void => {
      if (event.key !== 'Escape' || event.defaultPrevented) return;
      const target = event.target as HTMLElement;
      if (/^(INPUT|TEXTAREA)$/.test(target.tagName) || document.querySelector('.popover, [role="dialog"]'))
        return;
      close();
    };
    window.addEventListener('keydown', onKey);
    return () => window.removeEventListener('keydown', onKey);
  }, []);
  return (
    <section className="study no-print" aria-labelledby="study-title" ref={room} tabIndex={-1}>
      <header className="bar">
        <h1 className="bar__name" id="study-title">
          Study
        </h1>
        <p className="soft bar__wide">Measurements of the same teeth: how far do they agree?</p>
        <span className="bar__group bar__end">
          <TextButton isDisabled={shown === null} onPress={() => print()}>
            Print…
          </TextButton>
          <TextButton onPress={close}>Back to the arch</TextButton>
        </span>
      </header>
      <div className="study__desk">
        <div className="study__data">
          <Segments
            label="Measurements from"
            choices={SOURCES}
            value={source}
            onChange={(id) => setStudy({ source: id })}
            small
          />
          {source === 'table' && <TableSource />}
          {source === 'caliper' && <CaliperSource />}
          {source === 'readings' && (
            <>
              <h2>Readings: {jawName(jaw).toLowerCase()}</h2>
              <ReadingsSource />
            </>
          )}
        </div>
        <div className="study__result">
          {unseen ? (
            <CaliperUnseen />
          ) : result === null ? (
            <div className="study__empty">
              <h2>Nothing to compare yet</h2>
              <p>
                Bring two sets of measurements: a table from a file or a spreadsheet, caliper widths typed
                beside those of the scan, or two readings of the arch that is open. Bias, limits of agreement,
                errors, correlations, regressions, tests and plots follow at once; three or more columns or
                readings are compared all together too.
              </p>
            </div>
          ) : 'why' in result ? (
            <p className="study__why" role="alert">
              {result.why}
            </p>
          ) : (
            <>
              <FigureTables result={result.ok} />
              <PlotsPanel result={result.ok} />
              <AcceptancePanel result={result.ok} />
              <MethodsPanel result={result.ok} />
            </>
          )}
        </div>
      </div>
      {shown && <StudySheets result={shown} />}
    </section>
  );
}

const SAID_AFTER_MS = 700; // first comes what was taken or typed

/** Says what a comparison came to, once it stands still. */
function useSaid(shown: StudyResult | null): void {
  const text = shown && `${shown.study.groups[0].figures.n} pairs. ${summaryOf(shown).join(' ')}`;
  useEffect(() => {
    if (text === null) return;
    const waiting = setTimeout(() => actions().announce(text), SAID_AFTER_MS);
    return () => clearTimeout(waiting);
  }, [text]);
}

/** The result of the chosen source; null while it has no data. */
function useResult(): OrWhy<StudyResult> | null {
  const { source, table, readings, readingsLeftOut, conventions } = useStudy();
  const caliper = useCaliper();
  const arches = useStore((state) => state.caseDocument.arches);
  const jaw = useStore((state) => state.activeJaw);
  return useMemo(() => {
    const data = orWhy((): StudyData | null => {
      if (source === 'table') {
        const read = tableOf(table);
        const columns = read?.columns ?? [];
        const isChosen = columns.includes(table.first) && columns.includes(table.second);
        return read && isChosen && table.first !== table.second ? dataOfTable(read, table) : null;
      }
      if (source === 'caliper') {
        const own = dataOfCaliper(caseWidths(arches), caliper);
        return own.rows.some(({ b }) => b !== null) ? own : null;
      }
      const record = arches[jaw];
      const [first, second] = readings;
      const has = record?.readings[first] && record.readings[second] && first !== second;
      return has ? dataOfReadings(record.readings, readings, readingsLeftOut) : null;
    });
    if ('why' in data) return data;
    return data.ok === null ? null : orWhy(() => resultOf(data.ok!, conventions));
  }, [source, table, caliper, readings, readingsLeftOut, conventions, arches, jaw]);
}
