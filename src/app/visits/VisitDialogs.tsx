import { FollowUpDialog } from './FollowUpDialog.tsx';
import { OperatorDialog } from './OperatorDialog.tsx';
import { OverrideDialog } from './OverrideDialog.tsx';
import { RecordDialog } from './RecordDialog.tsx';
import { SheetDialog } from './SheetDialog.tsx';
import { VersionsDialog } from './VersionsDialog.tsx';
import { useVisitDialog } from './visitsStore.ts';

/** Every dialog of the visits; each is built when it is opened and forgets itself when it is closed. */
export function VisitDialogs() {
  const open = useVisitDialog((state) => state.open);
  if (!open) return null;
  if (open.kind === 'record')
    return <RecordDialog key={`${open.jaw}-${open.visit}`} jaw={open.jaw} visit={open.visit} />;
  if (open.kind === 'follow-up') return <FollowUpDialog jaw={open.jaw} file={open.file} />;
  if (open.kind === 'sheet') return <SheetDialog jaw={open.jaw} visit={open.visit} />;
  if (open.kind === 'override') return <OverrideDialog jaw={open.jaw} />;
  return open.kind === 'operator' ? <OperatorDialog /> : <VersionsDialog />;
}
