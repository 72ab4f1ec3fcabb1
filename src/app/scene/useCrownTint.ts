import { useEffect, useState } from 'react';
import type { Jaw } from '../../core/base/tooth.ts';
import { useProposal } from '../proposal/proposalStore.ts';
import { proposeOnScan } from '../proposal/proposeOnScan.ts';
import { useArch, useScanOf } from '../store.ts';
import { crownTint } from './crownTint.ts';
import { useScene } from './sceneStore.ts';

interface Made {
  readonly faceCrown: Uint8Array;
  readonly tint: Uint8Array;
}

/** Colours of the crowns for the surface on show; null while they are not asked for or not known yet. */
export function useCrownTint(jaw: Jaw): Uint8Array | null {
  const shown = useScene((state) => state.crownsTinted);
  const scan = useScanOf(jaw);
  const { found, refusal } = useProposal(jaw);
  const faceCrown = scan && found?.sha256 === scan.facts.sha256 ? found.crowns.faceCrown : null;
  const said = useArch(jaw)?.crownCorrections;
  const [made, setMade] = useState<Made | null>(null);
  // Crowns are not saved: after a reload, or undone corrections, they are found again when they are asked for.
  const known = faceCrown !== null && found?.corrections === said;
  useEffect(() => {
    if (shown && scan && !known && !refusal) void proposeOnScan(jaw, true);
  }, [shown, scan, known, refusal, jaw]);
  useEffect(() => {
    if (!shown || !scan || !faceCrown) return;
    let wanted = true;
    crownTint(scan, faceCrown).then((tint) => {
      if (wanted) setMade({ faceCrown, tint });
    });
    return () => {
      wanted = false;
    };
  }, [shown, scan, faceCrown]);
  return shown && faceCrown && made?.faceCrown === faceCrown ? made.tint : null;
}
