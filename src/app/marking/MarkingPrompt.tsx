import { Group } from 'react-aria-components';
import type { Jaw } from '../../core/base/tooth.ts';
import { markKey } from '../../core/marks/Mark.ts';
import { TextButton } from '../design/controls.tsx';
import { toothName } from '../format.ts';
import { useRunningLesson } from '../lessons/useRunningLesson.ts';
import { doubtfulMarks } from '../proposal/doubtfulMarks.ts';
import { useProposal } from '../proposal/proposalStore.ts';
import { proposeOnScan } from '../proposal/proposeOnScan.ts';
import { startReview } from '../proposal/reviewMarks.ts';
import type { SceneCommands } from '../scene/sceneCommands.ts';
import { useScene } from '../scene/sceneStore.ts';
import { activeMarks, isBlinded } from '../state/archEdits.ts';
import { useFollowUpOnShow, useShownArch } from '../state/onShow.ts';
import { actions, useStore } from '../store.ts';
import { MarkShape } from './MarkShape.tsx';
import { confirmSite, deleteSite, selectSite, siteInWords, startMarking, stepSite } from './siteActions.ts';
import { siteOrder } from './siteOrder.ts';

/** What to mark now, how far the round has come, and the steps along it. */
export function MarkingPrompt({
  jaw,
  commands,
  focusStage,
}: {
  jaw: Jaw;
  commands: SceneCommands;
  focusStage: () => void;
}) {
  const record = useShownArch(jaw);
  const site = useStore((state) => state.ui.selectedSite);
  const leads = useStore((state) => state.ui.markingFollowsOrder);
  const tool = useScene((state) => state.tool);
  const snapping = useScene((state) => state.snapping);
  const { working, found, review } = useProposal(jaw);
  /** A lesson in marking by hand: nothing is proposed to who learns it. */
  const lesson = useRunningLesson(jaw);
  const isLearning = lesson?.id === 'marking';
  const isLater = useFollowUpOnShow(jaw) !== null;
  if (!record || tool !== 'mark') return null;
  const order = siteOrder(record);
  const marks = activeMarks(record);
  const keys = new Set(marks.map(markKey));
  const placed = order.filter((step) => keys.has(markKey(step))).length;
  const proposed = marks.filter((mark) => mark.state === 'proposed').length;
  const mark = site && marks.find((other) => markKey(other) === markKey(site));
  const at = site && review ? review.findIndex((other) => markKey(other) === markKey(site)) : -1;

  const doubts = found?.sha256 === record.scan.sha256 ? found.doubts : [];
  const reasons = mark && doubtfulMarks(marks, doubts).find((d) => d.mark === mark)?.reasons;

  // A lesson on something else needs the room.
  if (!site && lesson && !isLearning && placed === order.length && proposed === 0) return null;
  if (!site) {
    return (
      <Group className="scene__prompt" aria-label="Marking">
        <p className="scene__ask">
          {placed === 0
            ? isLearning
              ? 'Mark the contact points of the front teeth.'
              : isBlinded(record)
                ? 'Mark the contact points, tooth by tooth.'
                : 'Mark the contact points round the arch.'
            : placed < order.length
              ? `${placed} of ${order.length} contact points marked.`
              : proposed > 0
                ? `All marked; ${proposed} proposed, not yet confirmed.`
                : 'All contact points marked.'}
        </p>
        {placed < order.length && (
          <TextButton
            small
            tone="strong"
            onPress={() => {
              startMarking(jaw);
              focusStage();
            }}
          >
            {placed === 0 ? 'Start marking' : 'Go on'}
          </TextButton>
        )}
        {placed < order.length && proposed === 0 && !isBlinded(record) && !isLearning && !isLater && (
          <TextButton small isDisabled={working !== null} onPress={() => void proposeOnScan(jaw)}>
            {placed === 0 ? 'Propose' : 'Propose the rest'}
          </TextButton>
        )}
        {placed === order.length && proposed > 0 && (
          <TextButton small tone="strong" onPress={() => startReview(jaw)}>
            Look through
          </TextButton>
        )}
      </Group>
    );
  }

  return (
    <Group className="scene__prompt" aria-label="Marking">
      <p className="scene__ask">
        <MarkShape site={site.site} proposed={mark?.state === 'proposed'} />
        <span>
          {mark ? (mark.state === 'proposed' ? 'Proposed: ' : 'Marked: ') : 'Mark the '}
          <strong>{siteInWords(site)}</strong>
          <span className="scene__ask-more">
            {toothName(site.tooth)}
            {reasons
              ? ` · ${reasons.join(' ')}`
              : mark
                ? ' · drag or nudge to move'
                : snapping
                  ? ' · click near it, it snaps'
                  : ' · snapping is off'}
          </span>
        </span>
      </p>
      <span className="scene__pair">
        <TextButton small aria-label="Site before" onPress={() => stepSite(jaw, -1)}>
          ‹
        </TextButton>
        <TextButton small aria-label="Next site" onPress={() => stepSite(jaw, 1)}>
          ›
        </TextButton>
        {mark?.state === 'proposed' && (
          <TextButton small tone="strong" onPress={() => confirmSite(jaw, site)}>
            Confirm
          </TextButton>
        )}
        {mark && (
          <TextButton small onPress={() => deleteSite(jaw, site)}>
            Delete
          </TextButton>
        )}
        <TextButton small onPress={() => commands.closeUp(site)}>
          Close-up
        </TextButton>
        <TextButton
          small
          tone={leads ? 'normal' : 'plain'}
          aria-pressed={leads}
          onPress={() => actions().setUi({ markingFollowsOrder: !leads })}
        >
          {leads ? 'In order' : 'Any order'}
        </TextButton>
        <TextButton small tone="plain" onPress={() => selectSite(null)}>
          Leave
        </TextButton>
      </span>
      <span className="scene__progress num" aria-hidden="true">
        {at >= 0 && review
          ? `${at + 1} of ${review.length} to look at`
          : `${placed} of ${order.length} marked`}
      </span>
    </Group>
  );
}
