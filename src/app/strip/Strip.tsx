import { type ReactNode, useLayoutEffect, useMemo, useRef, useState } from 'react';
import { Button, Dialog, DialogTrigger, Popover } from 'react-aria-components';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import type { ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { IconButton, Segments } from '../design/controls.tsx';
import { FitIcon, MinusIcon, PlusIcon } from '../design/icons.tsx';
import { mm } from '../format.ts';
import { useStore } from '../store.ts';
import './Strip.css';
import { StripDrawing } from './StripDrawing.tsx';
import { StripKey } from './StripKey.tsx';
import { stripLayout } from './stripLayout.ts';
import { stripRows } from './stripRows.ts';

const ZOOM_STEP = 1.35;
const MAX_PX_PER_MM = 60;

const useWidthOf = () => {
  const ref = useRef<HTMLDivElement>(null);
  const [widthPx, setWidthPx] = useState(800);
  useLayoutEffect(() => {
    const element = ref.current;
    if (!element) return;
    const observer = new ResizeObserver(([entry]) => setWidthPx(entry.contentRect.width));
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
  plan,
}: {
  record: ArchRecord;
  measures: ArchMeasures;
  request: ReductionRequest | null;
  plan: ReductionPlan | null;
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  const [shows, setShows] = useState<'now' | 'planned'>('now');
  const [zoomPxPerMm, setZoomPxPerMm] = useState<number | null>(null);
  const [scrollRef, widthPx] = useWidthOf();
  const layout = useMemo(
    () => stripLayout(record, measures, shows === 'planned' ? plan : null),
    [record, measures, plan, shows],
  );
  const fitPxPerMm = Math.max(4, (widthPx - 28) / (layout.toMm - layout.fromMm + 2));
  const pxPerMm = zoomPxPerMm ?? fitPxPerMm;
  const rows = stripRows(layout, pxPerMm);
  const zoom = (factor: number): void =>
    setZoomPxPerMm(Math.min(MAX_PX_PER_MM, Math.max(fitPxPerMm, pxPerMm * factor)));

  return (
    <section className="strip" aria-label="Strip: the arch unrolled along its line">
      <header className="strip__head">
        <h2 className="strip__title">Strip</h2>
        <StripSum measures={measures} />
        <div className="strip__tools">
          <Segments
            label="Blocks shown"
            small
            value={shows}
            onChange={setShows}
            choices={[
              { id: 'now', label: 'As measured' },
              { id: 'planned', label: 'After the plan', disabled: !plan || plan.plannedMm === 0 },
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
      <div className="strip__body">
        <div className="strip__rows" aria-hidden="true">
          <RowName atPx={rows.rulerPx - 6}>mm from midline</RowName>
          {layout.hasLine && <RowName atPx={rows.linePx}>as they stand</RowName>}
          <RowName atPx={rows.rowPx + rows.rowHeightPx / 2}>contact to contact</RowName>
          <RowName atPx={rows.rungsPx + 12}>tenths planned</RowName>
        </div>
        <div className="strip__scroll" ref={scrollRef}>
          <StripDrawing
            layout={layout}
            rows={rows}
            pxPerMm={pxPerMm}
            notation={notation}
            request={request}
            plan={plan}
          />
        </div>
      </div>
    </section>
  );
}

const RowName = ({ atPx, children }: { atPx: number; children: ReactNode }) => (
  <span style={{ top: atPx }}>{children}</span>
);

function StripSum({ measures }: { measures: ArchMeasures }) {
  const line = measures.line;
  if (!line)
    return <p className="strip__sum">The arch line appears when enough contact points are marked.</p>;
  return (
    <p className="strip__sum num">
      arch line <b>{mm(line.length.valueMm)} mm</b>
    </p>
  );
}
