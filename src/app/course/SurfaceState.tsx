import { Label, ProgressBar } from 'react-aria-components';
import type { Jaw } from '../../core/base/tooth.ts';
import { TextButton } from '../design/controls.tsx';
import { percent, sentence } from '../format.ts';
import { useProposal } from '../proposal/proposalStore.ts';
import { proposeOnScan } from '../proposal/proposeOnScan.ts';
import { useScanOf } from '../store.ts';
import { computeSurfaces, useFoundCrowns, type useSurfaceRun } from './surfaceRuns.ts';
import { useCrownsFoundAtOnce } from './useCrownsFoundAtOnce.ts';

/** Whether the gaps between the crowns' surfaces are at hand, under way or refused, and what to do about it. */
export function SurfaceState({
  jaw,
  run,
  isReady,
}: {
  jaw: Jaw;
  run: ReturnType<typeof useSurfaceRun>;
  isReady: boolean;
}) {
  const scan = useScanOf(jaw);
  const crowns = useFoundCrowns(jaw);
  const { working: finding } = useProposal(jaw);
  useCrownsFoundAtOnce(jaw);
  if (!scan)
    return <p className="sheet__note">The scan of this arch is not on the page: gaps by widths only.</p>;
  if (!crowns)
    return (
      <div className="course__offer">
        <p className="sheet__note">
          {finding
            ? 'The crowns are being told apart; they then move in the 3D arch, and the gaps are those between their surfaces.'
            : 'To see the scanned crowns move and to have the gaps between their surfaces, the crowns must be told apart first.'}
        </p>
        {finding ? (
          <TextButton small onPress={finding.cancel}>
            Cancel
          </TextButton>
        ) : (
          <TextButton small tone="strong" onPress={() => void proposeOnScan(jaw, true)}>
            Find the crowns
          </TextButton>
        )}
      </div>
    );
  if (run.working)
    return (
      <div className="course__offer">
        <ProgressBar
          className="contents"
          value={run.working.ratio * 100}
          valueLabel={percent(run.working.ratio)}
        >
          {({ percentage }) => (
            <>
              <Label className="sheet__note">Gaps between the crowns’ surfaces…</Label>
              <span className="reading__bar course__bar">
                <i style={{ width: `${percentage ?? 0}%` }} />
              </span>
            </>
          )}
        </ProgressBar>
        <TextButton small onPress={run.working?.cancel}>
          Cancel
        </TextButton>
      </div>
    );
  if (run.refusal)
    return (
      <div className="course__offer">
        <p className="dock__say dock__say_strong" role="alert">
          {sentence(run.refusal.message.replace(/^[\w.#]+: /, ''))} Until then the gaps shown are those by
          widths.
        </p>
        <TextButton small onPress={() => computeSurfaces(jaw)}>
          Compute them
        </TextButton>
      </div>
    );
  if (!isReady && run.stoppedFor)
    return (
      <div className="course__offer">
        <p className="sheet__note">Gaps by widths; those between surfaces were not computed.</p>
        <TextButton small onPress={() => computeSurfaces(jaw)}>
          Compute them
        </TextButton>
      </div>
    );
  const without = isReady ? (run.found?.withoutCrown ?? []) : [];
  if (without.length > 0)
    return (
      <p className="sheet__note">No crown was found of {without.join(', ')}: their contacts are by widths.</p>
    );
  return null;
}
