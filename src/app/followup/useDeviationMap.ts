import { useEffect, useState } from 'react';
import type { Jaw } from '../../core/base/tooth.ts';
import type { ArchDeviation } from '../../core/compare/archDeviation.ts';
import { useScanOf } from '../store.ts';
import { useComparison } from '../visits/comparisonStore.ts';
import { REACH_MM } from './deviationScale.ts';
import { useDeviation } from './deviationStore.ts';
import { deviationTint, scanVertices } from './deviationTint.ts';

interface Made {
  readonly distancesMm: Float32Array;
  readonly tint: Uint8Array;
}

/** The distances on show over the first scan of a jaw; null where none are asked for, or none are known. */
export function useShownDistances(jaw: Jaw): Float32Array | null {
  const { shown, kind } = useDeviation();
  const scan = useScanOf(jaw);
  const own = shown?.jaw === jaw ? shown.laterSha256 : null;
  const comparison = useComparison(own);
  if (!comparison || comparison.measure.earlierSha256 !== scan?.facts.sha256) return null;
  const { deviation }: { readonly deviation: ArchDeviation } = comparison;
  return deviation[kind];
}

/** Those distances as colours of the drawn vertices; null until they are made. */
export function useDeviationTint(jaw: Jaw): Uint8Array | null {
  const scan = useScanOf(jaw);
  const kind = useDeviation((state) => state.kind);
  const distancesMm = useShownDistances(jaw);
  const [made, setMade] = useState<Made | null>(null);
  useEffect(() => {
    if (!scan || !distancesMm) return;
    let wanted = true;
    scanVertices(scan)
      .then((vertexOf) => deviationTint(distancesMm, vertexOf, REACH_MM[kind]))
      .then((tint) => {
        if (wanted) setMade({ distancesMm, tint });
      });
    return () => {
      wanted = false;
    };
  }, [scan, distancesMm, kind]);
  return distancesMm && made?.distancesMm === distancesMm ? made.tint : null;
}
