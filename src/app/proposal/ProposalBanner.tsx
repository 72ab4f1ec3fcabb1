import { Button, Dialog, DialogTrigger, Group, Label, Popover, ProgressBar } from 'react-aria-components';
import { archFrame } from '../../core/arch/ArchFrame.ts';
import { type Jaw, toothLabel } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { teethAlongCourse } from '../../core/crowns/findCrowns.ts';
import { markKey } from '../../core/marks/Mark.ts';
import { markingOrder } from '../../core/marks/markingOrder.ts';
import { TextButton } from '../design/controls.tsx';
import { percent, sentence } from '../format.ts';
import { siteInWords } from '../marking/siteActions.ts';
import { activeMarks } from '../state/archEdits.ts';
import { useArch, useScanOf, useStore } from '../store.ts';
import { type DoubtfulMark, doubtfulMarks } from './doubtfulMarks.ts';
import './ProposalBanner.css';
import { type FoundArch, setProposal, useProposal } from './proposalStore.ts';
import { proposedInWords } from './proposedInWords.ts';
import { proposeOnScan, teethSaid } from './proposeOnScan.ts';
import { acceptUndoubted, discardProposals, startReview } from './reviewMarks.ts';

const readable = (message: string): string => sentence(message.replace(/^[\w.#]+: /, ''));

/** Above the arch: marks being proposed, what came of it, what is doubtful, and what to do with it. */
export function ProposalBanner({ jaw }: { jaw: Jaw }) {
  const record = useArch(jaw);
  const scan = useScanOf(jaw);
  const { working, found, refusal, onlyCrowns } = useProposal(jaw);
  if (!record || !scan) return null;
  if (working)
    return (
      <div className="proposal">
        <ProgressBar
          className="contents"
          value={working.ratio * 100}
          valueLabel={`${working.stage}, ${percent(working.ratio)}`}
        >
          {({ percentage }) => (
            <>
              <Label className="proposal__text">
                <b>{onlyCrowns ? 'Finding the crowns.' : 'Proposing marks.'}</b> {working.stage}…
              </Label>
              <span className="reading__bar proposal__bar">
                <i style={{ width: `${percentage ?? 0}%` }} />
              </span>
            </>
          )}
        </ProgressBar>
        <TextButton small onPress={working.cancel}>
          Cancel
        </TextButton>
      </div>
    );
  if (refusal)
    return (
      <div className="proposal" role="alert">
        <p className="proposal__text">
          <b>{onlyCrowns ? 'No crowns could be told apart.' : 'No marks could be proposed.'}</b>{' '}
          {readable(refusal.message)}
        </p>
        <TextButton small onPress={() => void proposeOnScan(jaw, onlyCrowns)}>
          {onlyCrowns ? 'Try again' : 'Propose again'}
        </TextButton>
        <TextButton small tone="plain" onPress={() => setProposal(jaw, { refusal: null })}>
          {onlyCrowns ? 'Leave it' : 'Mark by hand'}
        </TextButton>
      </div>
    );
  const own = found?.sha256 === record.scan.sha256 ? found : null;
  if (activeMarks(record).some((mark) => mark.state === 'proposed'))
    return <Proposed record={record} found={own} />;
  if (!own || !isStale(record, own) || !hasOpenSites(record)) return null;
  return (
    <Group className="proposal" aria-label="Proposed marks">
      <p className="proposal__text">Chart or arch frame changed since marks were proposed.</p>
      <TextButton small onPress={() => void proposeOnScan(jaw)}>
        Propose again
      </TextButton>
    </Group>
  );
}

/** True where the chart or the frame is no longer the one the proposal was made with. */
function isStale(record: ArchRecord, found: FoundArch): boolean {
  const said = teethSaid(record);
  return (
    JSON.stringify(said) !== JSON.stringify(found.said) ||
    JSON.stringify(archFrame(record.frame.originMm, record.frame.occlusal, record.frame.forward)) !==
      JSON.stringify(archFrame(found.frame.originMm, found.frame.occlusal, found.frame.forward))
  );
}

function hasOpenSites(record: ArchRecord): boolean {
  const keys = new Set(activeMarks(record).map(markKey));
  return markingOrder(record.jaw, record.chart).some((step) => !keys.has(markKey(step)));
}

function Proposed({ record, found }: { record: ArchRecord; found: FoundArch | null }) {
  const { jaw } = record;
  const notation = useStore((state) => state.caseDocument.notation);
  const reviewing = useProposal(jaw).review !== null;
  const marks = activeMarks(record);
  const doubtful = doubtfulMarks(marks, found?.doubts);
  const proposedCount = marks.filter((mark) => mark.state === 'proposed').length;
  const undoubted = proposedCount - doubtful.length;
  const seen = new Set(found?.crowns.crowns.map(({ tooth }) => tooth));
  const notFound = found ? teethAlongCourse(jaw, found.said).filter((tooth) => !seen.has(tooth)) : [];
  return (
    <Group className="proposal" aria-label="Proposed marks">
      <p className="proposal__text">
        <b>{proposedInWords(marks, doubtful.length)}</b>
        {notFound.length > 0 && (
          <> Not found: {notFound.map((tooth) => toothLabel(tooth, notation)).join(', ')}.</>
        )}
        {found && isStale(record, found) && <> Chart or arch frame changed since.</>}
      </p>
      <span className="proposal__actions">
        <TextButton small tone="strong" onPress={() => startReview(jaw)}>
          {doubtful.length === 0
            ? 'Look through'
            : reviewing
              ? 'From the least sure'
              : 'Look at the doubtful'}
        </TextButton>
        {doubtful.length > 0 && (
          <DialogTrigger>
            <TextButton small>
              Which and why <span aria-hidden="true">▾</span>
            </TextButton>
            <Popover className="popover" offset={4}>
              <DoubtList jaw={jaw} doubtful={doubtful} />
            </Popover>
          </DialogTrigger>
        )}
        {undoubted > 0 && (
          <TextButton small onPress={() => acceptUndoubted(jaw)}>
            {doubtful.length > 0 ? `Accept the ${undoubted} not doubtful` : `Accept all ${undoubted}`}
          </TextButton>
        )}
        <TextButton small tone="plain" onPress={() => void proposeOnScan(jaw)}>
          Propose again
        </TextButton>
        <TextButton small tone="plain" onPress={() => discardProposals(jaw)}>
          Discard proposals
        </TextButton>
      </span>
    </Group>
  );
}

function DoubtList({ jaw, doubtful }: { jaw: Jaw; doubtful: readonly DoubtfulMark[] }) {
  return (
    <Dialog className="proposal__doubts" aria-label="Doubtful points">
      {({ close }) => (
        <ul>
          {doubtful.map(({ mark, reasons }) => (
            <li key={markKey(mark)}>
              <Button
                className="proposal__doubt"
                onPress={() => {
                  close();
                  // The popover gives the focus back first; the arch takes it then.
                  setTimeout(() => startReview(jaw, { tooth: mark.tooth, site: mark.site }), 50);
                }}
              >
                <b>{siteInWords(mark)}</b>
                <span className="num soft">
                  {' '}
                  {percent(Math.floor(100 * (mark.confidence ?? 0)) / 100)} sure
                </span>
                <span className="proposal__reasons">{reasons.join(' ')}</span>
              </Button>
            </li>
          ))}
        </ul>
      )}
    </Dialog>
  );
}
