import type { Jaw, Tooth } from '../../core/base/tooth.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import { toothSizeNorm } from '../../core/space/toothSizeNorms.ts';
import { type ToothWidth, toothSizeRatios } from '../../core/space/toothSizeRatios.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { fixed } from '../format.ts';
import { useStore } from '../store.ts';
import { useVisitAccount } from './useVisitAccount.ts';

/** Tooth-size ratios with the enamel really taken; closing itself changes no tooth. */
export function RatioLine({ jaw }: { jaw: Jaw }) {
  const upper = useArchAccount('upper');
  const lower = useArchAccount('lower');
  const upperVisits = useVisitAccount('upper');
  const lowerVisits = useVisitAccount('lower');
  const norm = useStore((state) => toothSizeNorm(state.caseDocument.ratioNorm));
  if (!upper || !lower || !norm)
    return (
      <li>
        Tooth-size ratio: closing changes no tooth; with one arch ({jaw}) there is no ratio to be shown.
      </li>
    );
  const ratios = toothSizeRatios({
    upper: lessTaken(upper.measures, upperVisits?.balance.surfaces ?? []),
    lower: lessTaken(lower.measures, lowerVisits?.balance.surfaces ?? []),
    norm,
  });
  const text = (percent: number | null): string =>
    percent === null ? 'not known' : `${fixed(percent, 1)} %`;
  return (
    <li>
      Tooth-size ratio: closing changes no tooth. With the enamel taken so far: overall{' '}
      {text(ratios.overall.percent)}, anterior {text(ratios.anterior.percent)}.
    </li>
  );
}

/** Widths as they stand after the cuts on record. */
export function lessTaken(
  measures: ArchMeasures,
  surfaces: readonly { readonly tooth: Tooth; readonly taken: { readonly valueMm: number } }[],
): readonly ToothWidth[] {
  const taken = new Map<Tooth, number>();
  for (const surface of surfaces)
    taken.set(surface.tooth, (taken.get(surface.tooth) ?? 0) + surface.taken.valueMm);
  return measures.teeth.map(({ tooth, widthMm, sdMm }) => ({
    tooth,
    widthMm: widthMm - (taken.get(tooth) ?? 0),
    sdMm,
  }));
}
