import type { ReactNode } from 'react';
import { toothLabel } from '../../core/base/tooth.ts';
import type { ToothSizeRatio } from '../../core/space/Ledger.ts';
import { TOOTH_SIZE_NORMS, toothSizeNorm } from '../../core/space/toothSizeNorms.ts';

import { type Ratios, useRatios } from '../account/useRatios.ts';
import { SelectField } from '../design/controls.tsx';
import { fixed, mm, percent, STANDING_WORDS, sd } from '../format.ts';
import { actions, useStore } from '../store.ts';

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
        <p className="sheet__note">They need the widths of both arches; open the opposing arch as well.</p>
      ) : (
        <>
          <SelectField
            label="Compared with"
            choices={TOOTH_SIZE_NORMS.map((n) => ({
              id: n.id,
              label: n.title,
              note: STANDING_WORDS[n.source.standing],
            }))}
            value={normId}
            onChange={(id) => actions().setRatioNorm(id)}
          />
          <RatiosTable ratios={ratios.now} planned={ratios.planned} />
          {norm && (
            <p className="sheet__note">
              {norm.overall &&
                `Overall ${fixed(norm.overall.meanPercent, 1)} %${norm.overall.sdPercent ? `, SD ${norm.overall.sdPercent}` : ''}. `}
              {norm.anterior &&
                `Anterior ${fixed(norm.anterior.meanPercent, 1)} %${norm.anterior.sdPercent ? `, SD ${norm.anterior.sdPercent}` : ''}. `}
              {norm.source.text}
              {norm.note && `. ${norm.note}`}
            </p>
          )}
        </>
      )}
    </section>
  );
}

const RATIO_NAMES = { overall: 'Overall, 6 to 6', anterior: 'Anterior, 3 to 3' } as const;

export function RatiosTable({ ratios: now, planned }: { ratios: Ratios; planned: Ratios | null }) {
  const ratios = [now.overall, now.anterior];
  const after = planned && [planned.overall, planned.anterior];
  const notation = useStore((state) => state.caseDocument.notation);
  return (
    <table className="grid">
      <thead>
        <tr>
          <th scope="col">Ratio</th>
          {ratios.map((ratio) => (
            <th scope="col" key={ratio.kind}>
              {RATIO_NAMES[ratio.kind]}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        <RatioRow name="percent" ratios={ratios}>
          {(r) => r.percent !== null && `${fixed(r.percent)} ${sd(r.sdPercent)}`}
        </RatioRow>
        {after && (
          <RatioRow name="percent after the plans" ratios={after}>
            {(r) => r.percent !== null && `${fixed(r.percent)} ${sd(r.sdPercent)}`}
          </RatioRow>
        )}
        <RatioRow name="SDs from the norm" ratios={ratios}>
          {(r) => r.zScore !== null && fixed(r.zScore)}
        </RatioRow>
        {after && (
          <RatioRow name="SDs from the norm after the plans" ratios={after}>
            {(r) => r.zScore !== null && fixed(r.zScore)}
          </RatioRow>
        )}
        <RatioRow name="lower excess, mm" ratios={ratios}>
          {(r) => r.lowerExcessMm !== null && `${mm(r.lowerExcessMm)} ${sd(r.lowerExcessSdMm)}`}
        </RatioRow>
        <RatioRow name="upper excess, mm" ratios={ratios}>
          {(r) => r.upperExcessMm !== null && `${mm(r.upperExcessMm)} ${sd(r.upperExcessSdMm)}`}
        </RatioRow>
        <RatioRow name="chance beyond ± 2 SD" ratios={ratios}>
          {(r) => r.chanceOutside !== null && percent(r.chanceOutside)}
        </RatioRow>
        {ratios.some((r) => r.missing.length > 0) && (
          <RatioRow name="missing" ratios={ratios}>
            {(r) => (
              <span className="account__missing">
                {r.missing.map((tooth) => toothLabel(tooth, notation)).join(', ')}
              </span>
            )}
          </RatioRow>
        )}
      </tbody>
    </table>
  );
}

function RatioRow({
  name,
  ratios,
  children,
}: {
  name: string;
  ratios: readonly ToothSizeRatio[];
  children: (ratio: ToothSizeRatio) => ReactNode;
}) {
  return (
    <tr>
      <th scope="row">{name}</th>
      {ratios.map((ratio) => (
        <td key={ratio.kind} className="grid__wrap">
          {children(ratio) || '–'}
        </td>
      ))}
    </tr>
  );
}
