import { type ReactNode, useLayoutEffect, useMemo, useRef, useState } from 'react';
import { Button, Dialog, DialogTrigger, Popover } from 'react-aria-components';
import { type Contact, positionOf } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import type { ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import type { PlannedAmounts } from '../account/usePlannedAmounts.ts';
import { useStripAtStage } from '../course/stripAtStage.ts';
import { IconButton, Segments } from '../design/controls.tsx';
import { FitIcon, MinusIcon, PlusIcon } from '../design/icons.tsx';
import { mm, signed } from '../format.ts';
import { useStore } from '../store.ts';
import { OwnTenthsBar, SelectedSteps } from './OwnTenthsBar.tsx';
import { changeOwnSteps, setOwnSteps } from './ownSteps.ts';
import './Strip.css';
import { StripDrawing } from './StripDrawing.tsx';
import { StripKey } from './StripKey.tsx';
import { isToScale, type StripLayout, stripLayout } from './stripLayout.ts';
import { stripRows } from './stripRows.ts';

const ZOOM_STEP = 1.35;
const MAX_PX_PER_MM = 60;
const NAMES_REM = 6.75; // column with the names of the rows; larger type makes it wider

const namesPx = (): number =>
  NAMES_REM * Number.parseFloat(getComputedStyle(document.documentElement).fontSize);

/** Width there is for the drawing beside the names. */
const useDrawingWidth = () => {
  const ref = useRef<HTMLDivElement>(null);
  const [widthPx, setWidthPx] = useState(692);
  useLayoutEffect(() => {
    const element = ref.current;
    if (!element) return;
    const observer = new ResizeObserver(([entry]) => setWidthPx(entry.contentRect.width - namesPx()));
    observer.observe(element);
    return () => observer.disconnect();
  }, []);
  return [ref, widthPx] as const;
};

/** The arch unrolled to scale along its line: teeth, contacts, what separates them and what is planned there. */
export function Strip({
  record,
  measures,
  request,
  amounts,
}: {
  record: ArchRecord;
  measures: ArchMeasures;
  request: ReductionRequest | null; // with the limits asked, which own tenths may lie above
  amounts: PlannedAmounts | null; // in force: the user's own tenths, else the plan's
}) {
  const plan = amounts?.plan ?? null;
  const { jaw, ownTenths } = record;
  const own = useMemo(
    () => (ownTenths ? { tenths: ownTenths, exactPlan: amounts?.exactPlan ?? null } : null),
    [ownTenths, amounts],
  );
  const controls = useMemo(
    () => ({
      change: (teeth: Contact, by: number) => changeOwnSteps(jaw, teeth, by),
      set: (teeth: Contact, steps: number) => setOwnSteps(jaw, teeth, steps),
    }),
    [jaw],
  );
  const notation = useStore((state) => state.caseDocument.notation);
  const [chosen, setShows] = useState<'now' | 'planned'>('now');
  const shows = plan && plan.plannedMm > 0 ? chosen : 'now';
  const [zoomPxPerMm, setZoomPxPerMm] = useState<number | null>(null);
  const [scrollRef, widthPx] = useDrawingWidth();
  const latest = useRef(record);
  latest.current = record;
  const shownPlan = shows === 'planned' ? plan : null;
  // Laid out anew only for what the drawing is made of; a tenth set by the user moves no tooth.
  // biome-ignore lint/correctness/useExhaustiveDependencies: the record's parts that the layout reads
  const standing = useMemo(
    () => stripLayout(latest.current, measures, shownPlan),
    [record.chart, record.readings, record.activeReading, record.frame, measures, shownPlan],
  );
  const { layout, atStage } = useStripAtStage(jaw, standing);
  const fitPxPerMm = Math.max(4, (widthPx - 28) / (layout.toMm - layout.fromMm + 2));
  const pxPerMm = zoomPxPerMm ?? fitPxPerMm;
  const rows = useMemo(() => stripRows(layout, pxPerMm), [layout, pxPerMm]);
  const middleMm = useRef<number | null>(null);
  const zoom = (factor: number): void => {
    const scroll = scrollRef.current;
    if (scroll) middleMm.current = (scroll.scrollLeft + scroll.clientWidth / 2) / pxPerMm;
    setZoomPxPerMm(Math.min(MAX_PX_PER_MM, Math.max(fitPxPerMm, pxPerMm * factor)));
  };
  useLayoutEffect(() => {
    const scroll = scrollRef.current;
    if (!scroll || middleMm.current === null) return;
    scroll.scrollLeft = middleMm.current * pxPerMm - scroll.clientWidth / 2;
    middleMm.current = null;
  }, [pxPerMm, scrollRef]);

  // The tenths lie lowest: they come into view when they become the user's own.
  const isOwn = own !== null;
  useLayoutEffect(() => {
    const scroll = scrollRef.current;
    if (isOwn && scroll) scroll.scrollTop = scroll.scrollHeight;
  }, [isOwn, scrollRef]);

  return (
    <section className="strip" aria-label="Strip: the arch unrolled along its line">
      <header className="strip__head">
        <h2 className="strip__title">Strip</h2>
        <StripSum measures={measures} layout={layout} />
        {request && <SelectedSteps record={record} request={request} amounts={amounts} />}
        <div className="strip__tools">
          <Segments
            label="Blocks shown"
            small
            value={shows}
            onChange={setShows}
            choices={[
              { id: 'now', label: 'As measured' },
              {
                id: 'planned',
                label: own ? 'After my tenths' : 'After the plan',
                disabled: !plan || plan.plannedMm === 0,
              },
            ]}
          />
          <DialogTrigger>
            <Button className="button button_plain button_small">Key</Button>
            <Popover className="popover" placement="top end">
              <Dialog aria-label="Key to the strip">
                <StripKey />
              </Dialog>
            </Popover>
          </DialogTrigger>
          <IconButton label="Zoom out" small onPress={() => zoom(1 / ZOOM_STEP)}>
            <MinusIcon />
          </IconButton>
          <IconButton label="Fit the arch" small onPress={() => setZoomPxPerMm(null)}>
            <FitIcon />
          </IconButton>
          <IconButton label="Zoom in" small onPress={() => zoom(ZOOM_STEP)}>
            <PlusIcon />
          </IconButton>
        </div>
      </header>
      <OwnTenthsBar record={record} amounts={amounts} />
      <div className="strip__scroll" ref={scrollRef}>
        <div className="strip__paper">
          <div className="strip__rows" aria-hidden="true">
            <RowName atPx={rows.rulerPx - 6}>
              {isToScale(layout) ? 'mm from midline' : 'not measured yet'}
            </RowName>
            {layout.hasLine && <RowName atPx={rows.linePx}>{atStage ?? 'as they stand'}</RowName>}
            <RowName atPx={rows.rowPx + rows.rowHeightPx / 2}>contact to contact</RowName>
            <RowName atPx={rows.rungsPx + 12}>{own ? 'my tenths' : 'tenths planned'}</RowName>
          </div>
          <StripDrawing
            layout={layout}
            rows={rows}
            pxPerMm={pxPerMm}
            notation={notation}
            request={request}
            plan={plan}
            own={own}
            onSteps={request ? controls : null}
          />
        </div>
      </div>
    </section>
  );
}

const RowName = ({ atPx, children }: { atPx: number; children: ReactNode }) => (
  <span style={{ top: atPx }}>{children}</span>
);

function StripSum({ measures, layout }: { measures: ArchMeasures; layout: StripLayout }) {
  const line = measures.line;
  const between = layout.blocks.filter((block) => positionOf(block.tooth) <= 5);
  const requiredMm = between.every((block) => block.measure)
    ? between.reduce((sum, block) => sum + block.row.toMm - block.row.fromMm, 0)
    : null;
  if (!line)
    return <p className="strip__sum">The arch line appears when enough contact points are marked.</p>;
  // What straight teeth can use of the line, as in the account.
  const lineMm = line.length.valueMm - line.chordExcessMm + layout.lineGainMm.right + layout.lineGainMm.left;
  return (
    <p className="strip__sum num">
      available <b>{mm(lineMm)}</b>
      {requiredMm !== null && (
        <>
          {' '}
          − widths <b>{mm(requiredMm)}</b> = <b>{signed(lineMm - requiredMm)}&nbsp;mm</b>
        </>
      )}
    </p>
  );
}
