import { type CSSProperties, type KeyboardEvent, useRef, useState } from 'react';
import { type Contact, type Notation, positionOf, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import type { PlanContact, ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { contactLabel, mm, toothName } from '../format.ts';
import { sameContact } from '../state/archEdits.ts';
import { useStore } from '../store.ts';
import { StripRuler } from './StripRuler.tsx';
import { selectContact, selectTooth } from './select.ts';
import type { StripBlock, StripContact, StripLayout } from './stripLayout.ts';
import { RUNG_PX, type StripRows } from './stripRows.ts';

type Item =
  | { readonly kind: 'tooth'; readonly block: StripBlock }
  | { readonly kind: 'contact'; readonly contact: StripContact };

interface DrawingProps {
  readonly layout: StripLayout;
  readonly rows: StripRows;
  readonly pxPerMm: number;
  readonly notation: Notation;
  readonly request: ReductionRequest | null;
  readonly plan: ReductionPlan | null;
  /** Tells the fills of two drawings on one page apart. */
  readonly idPrefix?: string;
}

const MARGIN_MM = 1;
const LEFT_PX = 8;

/** The drawing itself; every tooth and contact is one stop of a single tab stop, moved by the arrow keys. */
export function StripDrawing({
  layout,
  rows,
  pxPerMm,
  notation,
  request,
  plan,
  idPrefix = 'strip',
}: DrawingProps) {
  const selectedTooth = useStore((state) => state.ui.selectedTooth ?? state.ui.selectedSite?.tooth ?? null);
  const selectedContact = useStore((state) => state.ui.selectedContact);
  const revealed = useStore((state) => state.ui.revealEvidence);
  const [focusAt, setFocusAt] = useState(0);
  const elements = useRef<(SVGGElement | null)[]>([]);
  const xPx = (alongMm: number): number => LEFT_PX + (alongMm - layout.fromMm + MARGIN_MM) * pxPerMm;
  const widthPx = xPx(layout.toMm) + MARGIN_MM * pxPerMm + LEFT_PX;
  const yPx = (outMm: number): number => rows.linePx - outMm * pxPerMm;

  const items: Item[] = layout.blocks.flatMap((block): Item[] => {
    const contact = layout.contacts.find((c) => c.teeth[0] === block.tooth);
    return contact
      ? [
          { kind: 'tooth', block },
          { kind: 'contact', contact },
        ]
      : [{ kind: 'tooth', block }];
  });
  const stop = Math.min(focusAt, items.length - 1);

  const onKeyDown = (event: KeyboardEvent, index: number): void => {
    const last = items.length - 1;
    const goal: Record<string, number> = {
      ArrowRight: Math.min(last, index + 1),
      ArrowLeft: Math.max(0, index - 1),
      Home: 0,
      End: last,
    };
    if (event.key === 'Enter' || event.key === ' ') {
      event.preventDefault();
      select(items[index]);
      return;
    }
    const next = goal[event.key];
    if (next === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    setFocusAt(next);
    elements.current[next]?.focus();
  };

  const drawn = { layout, rows, pxPerMm, notation, xPx, yPx };
  const stopProps = (index: number, label: string, pressed: boolean) => ({
    ref: (element: SVGGElement | null) => {
      elements.current[index] = element;
    },
    role: 'button',
    tabIndex: index === stop ? 0 : -1,
    'aria-label': label,
    'aria-pressed': pressed,
    onClick: () => {
      setFocusAt(index);
      select(items[index]);
    },
    onKeyDown: (event: KeyboardEvent) => onKeyDown(event, index),
    onFocus: () => setFocusAt(index),
  });

  return (
    <svg
      width={widthPx}
      height={rows.heightPx}
      viewBox={`0 0 ${widthPx} ${rows.heightPx}`}
      style={{ '--held': `url(#${idPrefix}-held)`, '--over': `url(#${idPrefix}-over)` } as CSSProperties}
      role="toolbar"
      aria-label="Teeth and contacts from the patient’s right to left"
    >
      <defs>
        <pattern
          id={`${idPrefix}-held`}
          width="4"
          height="4"
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(45)"
        >
          <rect width="4" height="4" fill="var(--sheet)" />
          <rect width="1.8" height="4" fill="var(--accent)" />
        </pattern>
        <pattern
          id={`${idPrefix}-over`}
          width="5"
          height="5"
          patternUnits="userSpaceOnUse"
          patternTransform="rotate(-45)"
        >
          <rect width="1.2" height="5" fill="var(--ink-soft)" />
        </pattern>
      </defs>
      <StripRuler layout={layout} rows={rows} pxPerMm={pxPerMm} xPx={xPx} widthPx={widthPx} />
      <Ground {...drawn} widthPx={widthPx} />
      {items.map((item, index) => {
        if (item.kind === 'contact') {
          const { contact } = item;
          const selected = selectedContact !== null && sameContact(selectedContact, contact.teeth);
          const limit = request?.contacts.find((c) => sameContact(c.teeth, contact.teeth)) ?? null;
          const planned = plan?.contacts.find((c) => sameContact(c.teeth, contact.teeth)) ?? null;
          return (
            <g
              key={contact.teeth.join('-')}
              className={`strip__item${selected ? ' strip__item_selected' : ''}`}
              {...stopProps(index, contactWords(contact, limit, planned, notation), selected)}
            >
              <ContactDrawing
                {...drawn}
                contact={contact}
                limit={limit}
                planned={planned}
                stepMm={request?.stepMm ?? 0.1}
                selected={selected}
              />
            </g>
          );
        }
        const { block } = item;
        const selected = selectedTooth === block.tooth;
        const isRevealed = revealed?.teeth.includes(block.tooth) ?? false;
        return (
          <g
            key={block.tooth}
            className={`strip__item${selected ? ' strip__item_selected' : ''}${isRevealed ? ' strip__item_revealed' : ''}`}
            {...stopProps(index, toothWords(block, notation), selected)}
          >
            <ToothDrawing {...drawn} block={block} />
          </g>
        );
      })}
    </svg>
  );
}

const select = (item: Item): void => {
  if (item.kind === 'tooth') selectTooth(item.block.tooth);
  else selectContact(item.contact.teeth);
};

const STATE_WORDS: Readonly<Record<StripBlock['state'], string>> = {
  confirmed: 'marks confirmed',
  proposed: 'marks proposed, not yet confirmed',
  entered: 'width entered by you',
  unmeasured: 'not measured',
};

function toothWords(block: StripBlock, notation: Notation): string {
  const width = block.measure ? `width ${mm(block.measure.widthMm)} mm, SD ${mm(block.measure.sdMm)}, ` : '';
  const erupted = block.unerupted ? ', unerupted' : '';
  return `Tooth ${toothLabel(block.tooth, notation)}, ${toothName(block.tooth)}: ${width}${STATE_WORDS[block.state]}${erupted}`;
}

function contactWords(
  contact: StripContact,
  limit: ReductionRequest['contacts'][number] | null,
  planned: PlanContact | null,
  notation: Notation,
): string {
  const parts: string[] = [];
  if (planned && planned.totalMm > 0) {
    parts.push(`planned ${mm(planned.totalMm, 1)} mm`);
    if (planned.heldBackMm > 0) parts.push(`of which ${mm(planned.heldBackMm, 1)} held back`);
  } else parts.push('nothing planned');
  if (limit?.locked) parts.push('locked');
  else if (limit) parts.push(`limit ${mm(limit.limitMm, 1)}`);
  if (contact.separationMm !== null)
    parts.push(
      contact.separationMm >= 0
        ? `separation ${mm(contact.separationMm)} mm`
        : `overlap ${mm(-contact.separationMm)} mm`,
    );
  if (contact.displacementMm !== null) parts.push(`displacement ${mm(contact.displacementMm)} mm`);
  if (contact.missingBetween.length > 0)
    parts.push(`missing between: ${contact.missingBetween.map((t) => toothLabel(t, notation)).join(', ')}`);
  return `Contact ${contactLabel(contact.teeth as Contact, notation)}: ${parts.join(', ')}`;
}

interface Drawn {
  readonly layout: StripLayout;
  readonly rows: StripRows;
  readonly pxPerMm: number;
  readonly notation: Notation;
  readonly xPx: (alongMm: number) => number;
  readonly yPx: (outMm: number) => number;
}

/** Arch line, its ends, the midline, and what sticks out of the line or is left free. */
function Ground({ layout, rows, xPx, widthPx }: Drawn & { widthPx: number }) {
  const { lineEnds } = layout;
  const middlePx = xPx(layout.midlineMm);
  const bottomPx = rows.rowPx + rows.rowHeightPx;
  return (
    // biome-ignore lint/a11y/noAriaHiddenOnFocusable: nothing in this group takes focus
    <g aria-hidden="true">
      {layout.hasLine && <path className="strip__lineOut" d={`M4 ${rows.linePx}H${widthPx - 4}`} />}
      {layout.hasLine && lineEnds && (
        <>
          <path className="strip__line" d={`M${xPx(lineEnds[0])} ${rows.linePx}H${xPx(lineEnds[1])}`} />
          {lineEnds.map((end) => (
            <path key={end} className="strip__end" d={`M${xPx(end)} ${rows.rulerPx}V${bottomPx + 3}`} />
          ))}
        </>
      )}
      <path className="strip__midline" d={`M${middlePx} ${rows.rulerPx}V${rows.heightPx}`} />
    </g>
  );
}

const isBeyond = (tooth: Tooth): boolean => positionOf(tooth) > 5 && Math.floor(tooth / 10) <= 4;

function ToothDrawing({ block, layout, rows, xPx, yPx, notation }: Drawn & { block: StripBlock }) {
  const { stands, row } = block;
  const beyond = isBeyond(block.tooth) ? ' strip__block_beyond' : '';
  const className = `strip__block strip__block_${block.state}${beyond}`;
  const fromPx = xPx(row.fromMm);
  const wide = xPx(row.toMm) - fromPx;
  const middlePx = fromPx + wide / 2;
  const label = toothLabel(block.tooth, notation);
  return (
    <>
      {stands && layout.hasLine && (
        <StandingTooth
          className={className}
          fromPx={[xPx(stands.right.alongMm), yPx(stands.right.outMm)]}
          toPx={[xPx(stands.left.alongMm), yPx(stands.left.outMm)]}
          slabPx={rows.slabPx}
          label={label}
        />
      )}
      <rect className={className} x={fromPx} y={rows.rowPx} width={wide} height={rows.rowHeightPx} rx="2" />
      <text x={middlePx} y={rows.rowPx + 13} textAnchor="middle" fontWeight="600">
        {label}
      </text>
      <text x={middlePx} y={rows.rowPx + 26} textAnchor="middle" className="strip__faint">
        {block.measure ? mm(block.measure.widthMm, wide < 26 ? 1 : 2) : '?'}
      </text>
      <rect
        className="strip__ring"
        x={fromPx - 2}
        y={rows.rowPx - 2}
        width={wide + 4}
        height={rows.rowHeightPx + 4}
        rx="3"
      />
    </>
  );
}

/** A tooth as it stands: a slab between its two contact points, seen along the line. */
function StandingTooth({
  className,
  fromPx,
  toPx,
  slabPx,
  label,
}: {
  className: string;
  fromPx: readonly [number, number];
  toPx: readonly [number, number];
  slabPx: number;
  label: string;
}) {
  const dx = toPx[0] - fromPx[0];
  const dy = toPx[1] - fromPx[1];
  const lengthPx = Math.hypot(dx, dy);
  const angleDeg = (Math.atan2(dy, dx) * 180) / Math.PI;
  const middle = [(fromPx[0] + toPx[0]) / 2, (fromPx[1] + toPx[1]) / 2];
  return (
    <>
      <rect
        className={className}
        x={-lengthPx / 2}
        y={-slabPx / 2}
        width={lengthPx}
        height={slabPx}
        rx={Math.min(5, lengthPx / 3)}
        fillOpacity="0.82"
        transform={`translate(${middle[0]} ${middle[1]}) rotate(${angleDeg})`}
      />
      <text x={middle[0]} y={middle[1] + 3.5} textAnchor="middle" className="strip__faint">
        {label}
      </text>
    </>
  );
}

const SHOWN_OFFSET_MM = 0.1;

function ContactDrawing({
  contact,
  limit,
  planned,
  stepMm,
  selected,
  rows,
  pxPerMm,
  xPx,
  yPx,
  notation,
}: Drawn & {
  contact: StripContact;
  limit: ReductionRequest['contacts'][number] | null;
  planned: PlanContact | null;
  stepMm: number;
  selected: boolean;
}) {
  const rowX = xPx(contact.rowMm);
  const { points } = contact;
  const labelled = selected || pxPerMm > 14;
  const bandTopPx = rows.rowPx + rows.rowHeightPx + 1;
  return (
    <>
      <rect
        className="strip__hit"
        x={rowX - 13}
        y={bandTopPx}
        width="26"
        height={rows.heightPx - bandTopPx}
        rx="2"
      />
      {points && (
        <StandingContact contact={contact} xPx={xPx} yPx={yPx} rows={rows} rowX={rowX} labelled={labelled} />
      )}
      {contact.missingBetween.length > 0 && (
        <text x={rowX} y={rows.rowPx - 3} textAnchor="middle" className="strip__faint">
          {contact.missingBetween.map((t) => toothLabel(t, notation)).join(' ')} missing
        </text>
      )}
      <Rungs limit={limit} planned={planned} stepMm={stepMm} xPx={rowX} topPx={rows.rungsPx} />
      <rect
        className="strip__ring"
        x={rowX - 13}
        y={bandTopPx}
        width="26"
        height={rows.heightPx - bandTopPx - 1}
        rx="3"
      />
    </>
  );
}

function StandingContact({
  contact,
  xPx,
  yPx,
  rows,
  rowX,
  labelled,
}: {
  contact: StripContact;
  xPx: (alongMm: number) => number;
  yPx: (outMm: number) => number;
  rows: StripRows;
  rowX: number;
  labelled: boolean;
}) {
  const { points, separationMm, displacementMm } = contact;
  if (!points) return null;
  const [a, b] = points.map((p) => [xPx(p.alongMm), yPx(p.outMm)] as const);
  const middleX = (a[0] + b[0]) / 2;
  const lowest = Math.max(a[1], b[1]);
  const stepsOut = displacementMm !== null && displacementMm >= SHOWN_OFFSET_MM;
  const words: string[] = [];
  if (separationMm !== null && Math.abs(separationMm) >= SHOWN_OFFSET_MM)
    words.push(`${separationMm > 0 ? 'gap' : 'overlap'} ${mm(Math.abs(separationMm), 1)}`);
  if (stepsOut) words.push(`step ${mm(displacementMm, 1)}`);
  return (
    <>
      <path className="strip__tie" d={`M${middleX} ${lowest + 2}L${rowX} ${rows.rowPx}`} />
      {stepsOut && <path className="strip__offset" d={`M${a[0]} ${a[1]}L${b[0]} ${b[1]}`} />}
      <circle className="strip__dot" cx={a[0]} cy={a[1]} r="2" />
      <circle className="strip__dot" cx={b[0]} cy={b[1]} r="2" />
      {labelled && words.length > 0 && (
        <text x={middleX} y={rows.rulerPx + 12} textAnchor="middle" className="strip__faint">
          {words.join(' · ')}
        </text>
      )}
    </>
  );
}

/** One rung a step: taken, held back, or free up to the limit. */
function Rungs({
  limit,
  planned,
  stepMm,
  xPx,
  topPx,
}: {
  limit: ReductionRequest['contacts'][number] | null;
  planned: PlanContact | null;
  stepMm: number;
  xPx: number;
  topPx: number;
}) {
  if (!limit) return null;
  if (limit.locked)
    return (
      <g className="strip__lock" transform={`translate(${xPx} ${topPx + 4})`}>
        <path d="M-3.5 4v-2a3.5 3.5 0 0 1 7 0v2M-5 4h10v7h-10z" />
      </g>
    );
  const steps = (amountMm: number): number => Math.round(amountMm / stepMm);
  const capacity = Math.floor(
    Math.min(limit.limitMm, limit.surfaceLimitsMm[0] + limit.surfaceLimitsMm[1]) / stepMm + 1e-6,
  );
  const total = steps(planned?.totalMm ?? 0);
  const held = steps(planned?.heldBackMm ?? 0);
  const rungPx = Math.min(RUNG_PX, 36 / Math.max(1, capacity));
  return (
    <>
      {Array.from({ length: Math.max(capacity, total) }, (_, i) => {
        const state = i < total - held ? ' strip__rung_taken' : i < total ? ' strip__rung_held' : '';
        return (
          <rect
            key={i}
            className={`strip__rung${state}`}
            x={Math.round(xPx) - 7}
            y={topPx + i * rungPx}
            width="14"
            height={rungPx - 1}
          />
        );
      })}
      {total > 0 && (
        <text className="strip__amount" x={xPx} y={topPx + 49} textAnchor="middle">
          {mm(planned?.totalMm ?? 0, 1)}
        </text>
      )}
    </>
  );
}
