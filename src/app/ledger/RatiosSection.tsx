import type { ReactNode } from 'react';
import { toothLabel } from '../../core/base/tooth.ts';
import type { ToothSizeRatio } from '../../core/space/Ledger.ts';
import { type RatioNorm, TOOTH_SIZE_NORMS, toothSizeNorm } from '../../core/space/toothSizeNorms.ts';
import { RATIO_BAND_SDS } from '../../core/space/toothSizeRatios.ts';
import { type Ratios, type RatiosNowAndAfter, useRatios } from '../account/useRatios.ts';
import { fixed, jawName, percent, STANDING_WORDS, sd, signed } from '../format.ts';
import { actions, useStore } from '../store.ts';
import { ChoiceTable } from './ChoiceTable.tsx';
import { Opens } from './Opens.tsx';

/** Tooth-size ratios of lower to upper teeth, once both arches are there. */
export function RatiosSection() {
  const normId = useStore((state) => state.caseDocument.ratioNorm);
  const ratios = useRatios();
  const norm = toothSizeNorm(normId);
  return (
    <section className="sheet__section" aria-labelledby="ratios">
      <div className="sheet__head">
        <h3 className="sheet__title" id="ratios">
          Tooth-size ratios
        </h3>
        <span className="sheet__note">lower ÷ upper widths</span>
      </div>
      {!ratios ? (
        <NoRatios />
      ) : (
        <>
          <RatiosTable ratios={ratios} />
          {norm && (
            <p className="sheet__note">
              Compared with {norm.title}: {normWords('overall', norm.overall)}
              {normWords('anterior', norm.anterior)} {STANDING_WORDS[norm.source.standing]}:{' '}
              {norm.source.text}.{norm.note && ` ${norm.note}.`}
            </p>
          )}
          <p className="sheet__note">
            Excess: what one arch has too much if the other is right; the two differ by the factor of the
            norm. A correction of 2 mm has been proposed as the least that matters (Othman S, Harradine N,
            Angle Orthod 2007;77:668–674). The chance of lying beyond ± {RATIO_BAND_SDS} SD of the norm comes
            from the measuring error. Crowding makes it larger (Open Dent J 2019;13:505).
          </p>
          <Opens name="Norms of other populations">
            <NormsTable ratios={ratios.now} />
          </Opens>
        </>
      )}
    </section>
  );
}

const normWords = (name: string, norm: RatioNorm | null): string =>
  norm
    ? `${name} ${fixed(norm.meanPercent, 1)} %${norm.sdPercent === null ? ', no SD given' : `, SD ${fixed(norm.sdPercent)}`}; `
    : `${name}: none given; `;

/** Which arch is wanting. */
function NoRatios() {
  const arches = useStore((state) => state.caseDocument.arches);
  const wanting = (['upper', 'lower'] as const).filter((jaw) => !arches[jaw]);
  return (
    <p className="sheet__note">
      They need the widths of both arches
      {wanting.length > 0
        ? `; ${wanting.map((jaw) => `the ${jawName(jaw).toLowerCase()} is missing`).join(', ')}: open its scan as well.`
        : ', and marks that do not contradict each other.'}
    </p>
  );
}

const KINDS = ['overall', 'anterior'] as const;
const RATIO_NAMES = { overall: 'Overall, 6 to 6', anterior: 'Anterior, 3 to 3' } as const;

/** Each ratio as measured and, where something is planned, as it would be after it. */
export function RatiosTable({ ratios: { now, planned, from } }: { ratios: RatiosNowAndAfter }) {
  const after = from === 'own' ? 'after my tenths' : 'after the plan';
  const columns = KINDS.flatMap((kind) => [
    { key: kind, ratio: now[kind] },
    ...(planned ? [{ key: `${kind}-after`, ratio: planned[kind] }] : []),
  ]);
  const notation = useStore((state) => state.caseDocument.notation);
  const row = (name: string, content: (ratio: ToothSizeRatio) => ReactNode) => (
    <tr>
      <th scope="row" className="grid__text">
        {name}
      </th>
      {columns.map(({ key, ratio }) => (
        <td key={key} className="grid__wrap">
          {content(ratio) || '–'}
        </td>
      ))}
    </tr>
  );
  const figure = (value: number | null, sdValue: number | null, digits = 2) =>
    value !== null && (
      <>
        {fixed(value, digits)}
        <small className="choices__note">{sd(sdValue, digits)}</small>
      </>
    );
  return (
    <table className="grid ratios num">
      <thead>
        <tr>
          <th scope="col" rowSpan={planned ? 2 : 1}>
            Ratio
          </th>
          {KINDS.map((kind) => (
            <th scope="colgroup" key={kind} colSpan={planned ? 2 : 1}>
              {RATIO_NAMES[kind]}
            </th>
          ))}
        </tr>
        {planned && (
          <tr>
            {KINDS.map((kind) => [
              <th scope="col" key={`${kind}-now`}>
                now
              </th>,
              <th scope="col" key={`${kind}-after`}>
                {after}
              </th>,
            ])}
          </tr>
        )}
      </thead>
      <tbody>
        {row('percent', (r) => figure(r.percent, r.sdPercent))}
        {row('SDs from the norm (z)', (r) => r.zScore !== null && signed(r.zScore))}
        {row('lower excess, mm', (r) => figure(r.lowerExcessMm, r.lowerExcessSdMm))}
        {row('upper excess, mm', (r) => figure(r.upperExcessMm, r.upperExcessSdMm))}
        {row(
          `chance beyond ± ${RATIO_BAND_SDS} SD`,
          (r) => r.chanceOutside !== null && percent(r.chanceOutside),
        )}
        {columns.some(({ ratio }) => ratio.missing.length > 0) &&
          row(
            'missing widths',
            (r) =>
              r.missing.length > 0 && (
                <span className="account__missing">
                  {r.missing.map((tooth) => toothLabel(tooth, notation)).join(', ')}
                </span>
              ),
          )}
      </tbody>
    </table>
  );
}

/** The measured ratios against every norm at hand; the chosen one counts everywhere. */
function NormsTable({ ratios }: { ratios: Ratios }) {
  const normId = useStore((state) => state.caseDocument.ratioNorm);
  const against = (norm: RatioNorm | null, ratio: ToothSizeRatio) => {
    if (!norm) return 'no norm';
    const z =
      norm.sdPercent === null || ratio.percent === null
        ? 'no SD'
        : `z ${signed((ratio.percent - norm.meanPercent) / norm.sdPercent)}`;
    return (
      <>
        {fixed(norm.meanPercent, 1)} {sd(norm.sdPercent)}
        <small className="choices__note">{z}</small>
      </>
    );
  };
  return (
    <ChoiceTable
      label="Norm of the tooth-size ratios"
      heads={['Norm', 'overall, %', 'anterior, %']}
      figureRem={[5]}
      value={normId}
      onChange={(id) => {
        actions().setRatioNorm(id);
        actions().announce(`Ratios compared with ${toothSizeNorm(id)?.title ?? id}.`);
      }}
      rows={TOOTH_SIZE_NORMS.map((norm) => ({
        id: norm.id,
        title: norm.title,
        note: `${STANDING_WORDS[norm.source.standing]}: ${norm.source.text}${norm.note ? `; ${norm.note}` : ''}`,
        spoken: KINDS.map((kind) => normWords(kind, norm[kind])).join(' '),
        cells: KINDS.map((kind) => against(norm[kind], ratios[kind])),
      }))}
    />
  );
}
