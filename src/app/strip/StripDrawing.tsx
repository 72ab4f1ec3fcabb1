import { type CSSProperties, type KeyboardEvent, memo, useMemo, useRef, useState } from 'react';
import { type Contact, type Notation, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import type { OwnAmount } from '../../core/reduction/ownAmounts.ts';
import type { PlanContact, ReductionPlan, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { mm } from '../format.ts';
import { sameContact } from '../state/archEdits.ts';
import { useStore } from '../store.ts';
import { blockClass } from './blockClass.ts';
import type { Drawn } from './Drawn.ts';
import { type OwnRungs, Rungs } from './Rungs.tsx';
import { StandingLayer } from './StandingLayer.tsx';
import { StripGround } from './StripGround.tsx';
import { StripRuler } from './StripRuler.tsx';
import { selectContact, selectTooth } from './select.ts';
import { isToScale, type StripBlock, type StripContact, type StripLayout } from './stripLayout.ts';
import type { StripRows } from './stripRows.ts';
import { contactWords, toothWords } from './stripWords.ts';

type Item =
  | { readonly kind: 'tooth'; readonly block: StripBlock }
  | { readonly kind: 'contact'; readonly contact: StripContact };

/** What the tenths of a contact answer to. */
export interface StepControls {
  readonly change: (teeth: Contact, by: number) => void;
  readonly set: (teeth: Contact, steps: number) => void;
}

const STEP_KEYS: Readonly<Record<string, number>> = {
  ArrowUp: 1,
  '+': 1,
  '=': 1,
  ArrowDown: -1,
  '-': -1,
  '−': -1,
};

interface DrawingProps {
  readonly layout: StripLayout;
  readonly rows: StripRows;
  readonly pxPerMm: number;
  readonly notation: Notation;
  readonly request: ReductionRequest | null;
  readonly plan: ReductionPlan | null;
  /** The user's own tenths where they are set; `plan` is then what they make. */
  readonly own?: {
    readonly tenths: readonly OwnAmount[];
    readonly exactPlan: ReductionPlan | null;
  } | null;
  /** Where given, each tenth is a control. */
  readonly onSteps?: StepControls | null;
  /** Tells the fills of two drawings on one page apart. */
  readonly idPrefix?: string;
  /** Drawn without what is selected on the page. */
  readonly still?: boolean;
}

const NO_TEETH: readonly Tooth[] = [];
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
  own = null,
  onSteps = null,
  idPrefix = 'strip',
  still = false,
}: DrawingProps) {
  const selectedTooth = useStore(({ ui }) =>
    still ? null : (ui.selectedTooth ?? ui.selectedSite?.tooth ?? null),
  );
  const selectedContact = useStore(({ ui }) => (still ? null : ui.selectedContact));
  const revealed = useStore(({ ui }) => (still ? null : ui.revealEvidence));
  const [focusAt, setFocusAt] = useState(0);
  const elements = useRef<(SVGGElement | null)[]>([]);
  // The same object until the drawing changes: a tenth set by the user draws no tooth again.
  const drawn = useMemo((): Drawn => {
    const xPx = (alongMm: number): number => LEFT_PX + (alongMm - layout.fromMm + MARGIN_MM) * pxPerMm;
    const yPx = (outMm: number): number => rows.linePx - outMm * pxPerMm;
    return { layout, rows, pxPerMm, notation, xPx, yPx };
  }, [layout, rows, pxPerMm, notation]);
  const { xPx } = drawn;
  const widthPx = xPx(layout.toMm) + MARGIN_MM * pxPerMm + LEFT_PX;

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
    const item = items[index];
    const by = STEP_KEYS[event.key];
    if (onSteps && item.kind === 'contact' && by !== undefined && !event.ctrlKey && !event.metaKey) {
      event.preventDefault();
      event.stopPropagation();
      onSteps.change(item.contact.teeth, by);
      return;
    }
    const next = goal[event.key];
    if (next === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    setFocusAt(next);
    elements.current[next]?.focus();
  };

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
      {isToScale(layout) && (
        <StripRuler layout={layout} rows={rows} pxPerMm={pxPerMm} xPx={xPx} widthPx={widthPx} />
      )}
      <StripGround {...drawn} widthPx={widthPx} />
      {layout.hasLine && (
        <StandingLayer
          {...drawn}
          selectedTooth={selectedTooth}
          selectedContact={selectedContact}
          revealed={revealed?.teeth ?? NO_TEETH}
        />
      )}
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
              aria-keyshortcuts={onSteps && limit ? 'ArrowUp ArrowDown' : undefined}
            >
              <ContactDrawing
                {...drawn}
                contact={contact}
                limit={limit}
                planned={planned}
                own={own && ownRungs(contact.teeth, own)}
                stepMm={request?.stepMm ?? 0.1}
                onSteps={selected && onSteps ? (steps) => onSteps.set(contact.teeth, steps) : null}
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

const ownRungs = (teeth: Contact, own: NonNullable<DrawingProps['own']>): OwnRungs => ({
  wishedMm: own.tenths.find((o) => sameContact(o.teeth, teeth))?.amountMm ?? 0,
  exactMm: own.exactPlan?.contacts.find((c) => sameContact(c.teeth, teeth))?.totalMm ?? 0,
});

const select = (item: Item): void => {
  if (item.kind === 'tooth') selectTooth(item.block.tooth);
  else selectContact(item.contact.teeth);
};

/** Half the width of the stripe over a border between two blocks that selects the contact, px. */
const CONTACT_EDGE_PX = 6;

const ToothDrawing = memo(function ToothDrawing({
  block,
  rows,
  xPx,
  notation,
}: Drawn & { block: StripBlock }) {
  const { row } = block;
  const className = blockClass(block);
  const fromPx = xPx(row.fromMm);
  const wide = xPx(row.toMm) - fromPx;
  const middlePx = fromPx + wide / 2;
  const edgePx = Math.min(CONTACT_EDGE_PX, wide / 5); // the ends of a block belong to its contacts
  const label = toothLabel(block.tooth, notation);
  return (
    <>
      <rect
        className={className}
        pointerEvents="none"
        x={fromPx}
        y={rows.rowPx}
        width={wide}
        height={rows.rowHeightPx}
        rx="2"
      />
      <rect
        fill="transparent"
        x={fromPx + edgePx}
        y={rows.rowPx}
        width={wide - 2 * edgePx}
        height={rows.rowHeightPx}
      />
      <text x={middlePx} y={rows.rowPx + 13} textAnchor="middle" fontWeight="600" pointerEvents="none">
        {label}
      </text>
      <text
        x={middlePx}
        y={rows.rowPx + 26}
        textAnchor="middle"
        className="strip__faint"
        pointerEvents="none"
      >
        {block.measure ? mm(row.toMm - row.fromMm, wide < 26 ? 1 : 2) : '?'}
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
});

function ContactDrawing({
  contact,
  limit,
  planned,
  own,
  stepMm,
  onSteps,
  rows,
  xPx,
  notation,
}: Drawn & {
  contact: StripContact;
  limit: ReductionRequest['contacts'][number] | null;
  planned: PlanContact | null;
  own: OwnRungs | null;
  stepMm: number;
  onSteps: ((steps: number) => void) | null;
}) {
  const rowX = xPx(contact.rowMm);
  const bandTopPx = rows.rowPx + rows.rowHeightPx + 1;
  return (
    <>
      <rect
        className="strip__hit"
        x={rowX - CONTACT_EDGE_PX}
        y={rows.rowPx}
        width={2 * CONTACT_EDGE_PX}
        height={rows.rowHeightPx}
      />
      <rect
        className="strip__hit"
        x={rowX - 13}
        y={bandTopPx}
        width="26"
        height={rows.heightPx - bandTopPx}
        rx="2"
      />
      {contact.missingBetween.length > 0 && (
        <text x={rowX} y={rows.rowPx - 3} textAnchor="middle" className="strip__faint">
          {contact.missingBetween.map((t) => toothLabel(t, notation)).join(' ')} missing
        </text>
      )}
      <Rungs
        limit={limit}
        planned={planned}
        own={own}
        stepMm={stepMm}
        xPx={rowX}
        topPx={rows.rungsPx}
        onSteps={onSteps}
      />
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
