import { Group } from 'react-aria-components';
import type { Jaw } from '../../core/base/tooth.ts';
import type { FollowUpRecord } from '../../core/visits/FollowUpRecord.ts';
import { TextButton } from '../design/controls.tsx';
import { acceptUndoubted, doubtfulOf, startReview } from '../proposal/reviewMarks.ts';
import { leaveLaterScan } from './laterScanView.ts';
import { dayOf } from './visitWords.ts';

/** Above the arch while a later scan stands in the 3D view: how far its marks were looked at, and the way back. */
export function LaterScanBar({ jaw, followUp }: { jaw: Jaw; followUp: FollowUpRecord }) {
  const proposed = followUp.marks.filter((mark) => mark.state === 'proposed').length;
  const doubtful = doubtfulOf(jaw).length;
  return (
    <Group className="proposal" aria-label="Follow-up scan on show">
      <p className="proposal__text">
        <b>Follow-up scan of {dayOf(followUp.date)}.</b> {marksInWords(followUp)}. Drag or nudge a mark: the
        visits follow.
      </p>
      <span className="proposal__actions">
        {proposed > 0 && (
          <TextButton small tone="strong" onPress={() => startReview(jaw)}>
            {doubtful > 0 ? 'Look at the doubtful' : 'Look through'}
          </TextButton>
        )}
        {proposed > doubtful && (
          <TextButton small onPress={() => acceptUndoubted(jaw)}>
            {doubtful > 0 ? `Accept the ${proposed - doubtful} not doubtful` : `Accept all ${proposed}`}
          </TextButton>
        )}
        <TextButton small tone={proposed > 0 ? 'normal' : 'strong'} onPress={leaveLaterScan}>
          Back to the first scan
        </TextButton>
      </span>
    </Group>
  );
}

/** "42 marks, 40 only proposed" */
export function marksInWords({ marks }: Pick<FollowUpRecord, 'marks'>): string {
  const proposed = marks.filter((mark) => mark.state === 'proposed').length;
  if (proposed === 0) return `${marks.length} marks, all confirmed`;
  return `${marks.length} marks, ${proposed === marks.length ? 'all' : proposed} only proposed`;
}
