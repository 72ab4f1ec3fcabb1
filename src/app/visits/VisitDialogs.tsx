import { useEffect } from 'react';
import { cuttingPrior } from '../../core/reduction/cuttingPriors.ts';
import { ownCutting } from '../../core/visits/operatorRecord.ts';
import { useFiles } from '../files/fileStore.ts';
import { setOwnCutting } from '../plan/ownCutting.ts';
import { useStore } from '../store.ts';
import { FollowUpDialog } from './FollowUpDialog.tsx';
import { OperatorDialog } from './OperatorDialog.tsx';
import { OverrideDialog } from './OverrideDialog.tsx';
import { cutsOnThisMachine, useOperatorCuts } from './operatorSince.ts';
import { RecordDialog } from './RecordDialog.tsx';
import { SheetDialog } from './SheetDialog.tsx';
import { VersionsDialog } from './VersionsDialog.tsx';
import { useVisitDialog } from './visitsStore.ts';

const PRIOR = cuttingPrior('rounded');

/** Keeps what forecasts know of this hand in step with the visits on record. */
function useOwnRecord(): void {
  const starting = useFiles((state) => state.starting);
  const upper = useStore((state) => state.caseDocument.arches.upper);
  const lower = useStore((state) => state.caseDocument.arches.lower);
  const [upperVisits, lowerVisits] = [upper?.visits, lower?.visits];
  const [upperScans, lowerScans] = [upper?.followUps, lower?.followUps];
  // biome-ignore lint/correctness/useExhaustiveDependencies: what is read is the case at hand and those kept
  useEffect(() => {
    if (starting || !PRIOR) return;
    let isLast = true;
    cutsOnThisMachine().then(
      (cuts) => {
        if (!isLast) return;
        useOperatorCuts.setState({ cuts });
        setOwnCutting(ownCutting(cuts, PRIOR));
      },
      () => {
        // storage is not to be had: that is said at the top of the page, and forecasts do without
      },
    );
    return () => {
      isLast = false;
    };
  }, [starting, upperVisits, lowerVisits, upperScans, lowerScans]);
}

/** Every dialog of the visits; each is built when it is opened and forgets itself when it is closed. */
export function VisitDialogs() {
  useOwnRecord();
  const open = useVisitDialog((state) => state.open);
  if (!open) return null;
  if (open.kind === 'record')
    return <RecordDialog key={`${open.jaw}-${open.visit}`} jaw={open.jaw} visit={open.visit} />;
  if (open.kind === 'follow-up') return <FollowUpDialog jaw={open.jaw} file={open.file} />;
  if (open.kind === 'sheet') return <SheetDialog jaw={open.jaw} visit={open.visit} />;
  if (open.kind === 'override') return <OverrideDialog jaw={open.jaw} />;
  return open.kind === 'operator' ? <OperatorDialog /> : <VersionsDialog />;
}
