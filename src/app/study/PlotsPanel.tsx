import { useLayoutEffect, useRef } from 'react';
import { TextButton } from '../design/controls.tsx';
import { PAGE_INKS, PAPER_INKS } from './plotDrawing.ts';
import { PLOT_TITLES, type PlotKind, plotOf } from './plots.ts';
import { savePlotPng, savePlotSvg } from './savePlot.ts';
import type { StudyResult } from './studyData.ts';

const KINDS: readonly PlotKind[] = ['agreement', 'identity', 'repeats', 'icc', 'error'];

/** The plots a result has; several readings bring one of their own. */
export const plotsOf = ({ several }: StudyResult): readonly PlotKind[] =>
  KINDS.filter((kind) => kind !== 'repeats' || (several !== null && 'ok' in several));

/** What is drawn how. */
const KEYS: Readonly<Record<PlotKind, string>> = {
  agreement:
    'Solid: bias. Dashed: limits of agreement. Bands: their 95 % intervals. Dotted slope: difference regressed on mean.',
  identity: 'Both axes show the same range, so that agreement lies on the diagonal.',
  repeats:
    'One mark for each reading of each subject. Dashed: 95 % of them are expected within ± 1.96 SD within subjects × √(1 − 1/k), k readings.',
  icc: 'Square: correlation. Bar: its 95 % interval. Dotted: 0.75 and 0.9.',
  error: 'Dot: bias. Bar: limits of agreement. Open square: Dahlberg’s error.',
};

/** The plots a journal would print, each to be saved. */
export function PlotsPanel({ result }: { result: StudyResult }) {
  return (
    <section className="study__part" aria-labelledby="study-plots">
      <h2 id="study-plots">Plots</h2>
      <div className="study__plots">
        {plotsOf(result).map((kind) => (
          <PlotFigure key={kind} kind={kind} result={result} />
        ))}
      </div>
    </section>
  );
}

/** A plot with its key; on paper (`still`) without the buttons. */
export function PlotFigure({
  kind,
  result,
  still = false,
}: {
  kind: PlotKind;
  result: StudyResult;
  still?: boolean;
}) {
  const place = useRef<HTMLDivElement>(null);
  useLayoutEffect(() => {
    const drawn = plotOf(kind, result, still ? PAPER_INKS : PAGE_INKS);
    drawn?.setAttribute('role', 'img');
    drawn?.setAttribute('aria-label', inWords(kind, result));
    place.current?.replaceChildren(drawn ?? 'Its figures are missing.');
  }, [kind, result, still]);
  const title = PLOT_TITLES[kind];
  return (
    <figure className="study__plot">
      <figcaption>
        <h3>{title}</h3>
        {!still && (
          <>
            <TextButton
              small
              aria-label={`Save ${title.toLowerCase()} as SVG`}
              onPress={() => savePlotSvg(kind, result)}
            >
              SVG
            </TextButton>
            <TextButton
              small
              aria-label={`Save ${title.toLowerCase()} as PNG`}
              onPress={() => void savePlotPng(kind, result)}
            >
              PNG
            </TextButton>
          </>
        )}
      </figcaption>
      <div ref={place} />
      <p className="soft study__key">{KEYS[kind]}</p>
    </figure>
  );
}

/** What a plot shows, for who cannot see it; the figures themselves are in the tables. */
function inWords(kind: PlotKind, { data, study, several }: StudyResult): string {
  const { n } = study.groups[0].figures;
  if (kind === 'agreement')
    return `Differences of ${n} pairs against their means, with bias, limits of agreement, their intervals and the line of proportional bias.`;
  if (kind === 'identity')
    return `${data.names[1]} against ${data.names[0]}, ${n} pairs, with the identity line, Deming’s line and that of Passing and Bablok.`;
  if (kind === 'repeats')
    return several && 'ok' in several
      ? `Each of ${several.ok.names.length} readings against the mean of all, ${several.ok.complete} subjects.`
      : '';
  if (kind === 'icc') return 'Intraclass correlations with their 95 % intervals, of all pairs and by group.';
  return 'Bias, limits of agreement and Dahlberg’s error of all pairs and of each group.';
}
