import { memo } from 'react';
import { type Contact, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import { mm } from '../format.ts';
import { sameContact } from '../state/archEdits.ts';
import { blockClass } from './blockClass.ts';
import type { Drawn } from './Drawn.ts';
import { selectContact, selectTooth } from './select.ts';
import type { StripContact } from './stripLayout.ts';
import type { StripRows } from './stripRows.ts';

/** The teeth as they stand beside the line. Each is a button in the row of blocks; here the pointer alone reaches it. */
export const StandingLayer = memo(function StandingLayer({
  layout,
  rows,
  pxPerMm,
  notation,
  xPx,
  yPx,
  selectedTooth,
  selectedContact,
  revealed,
}: Drawn & {
  selectedTooth: Tooth | null;
  selectedContact: Contact | null;
  revealed: readonly Tooth[];
}) {
  return (
    // biome-ignore lint/a11y/noAriaHiddenOnFocusable: nothing in this group takes focus
    <g aria-hidden="true">
      {layout.blocks.map(({ tooth, stands, ...block }) => {
        if (!stands) return null;
        const classes = ['strip__item'];
        if (selectedTooth === tooth) classes.push('strip__item_selected');
        if (revealed.includes(tooth)) classes.push('strip__item_revealed');
        return (
          // biome-ignore lint/a11y/noStaticElementInteractions: the same tooth is a button in the row of blocks
          <g key={tooth} className={classes.join(' ')} onClick={() => selectTooth(tooth)}>
            <StandingTooth
              className={blockClass({ tooth, state: block.state })}
              fromPx={[xPx(stands.right.alongMm), yPx(stands.right.outMm)]}
              toPx={[xPx(stands.left.alongMm), yPx(stands.left.outMm)]}
              slabPx={rows.slabPx}
              label={toothLabel(tooth, notation)}
            />
          </g>
        );
      })}
      {layout.contacts.map((contact) => {
        const selected = selectedContact !== null && sameContact(selectedContact, contact.teeth);
        return (
          // biome-ignore lint/a11y/noStaticElementInteractions: the same contact is a button in the row of blocks
          <g
            key={contact.teeth.join('-')}
            className={selected ? 'strip__item strip__item_selected' : 'strip__item'}
            onClick={() => selectContact(contact.teeth)}
          >
            <StandingContact
              contact={contact}
              xPx={xPx}
              yPx={yPx}
              rows={rows}
              rowX={xPx(contact.rowMm)}
              labelled={selected || pxPerMm > LABELS_FROM_PX_PER_MM}
            />
          </g>
        );
      })}
    </g>
  );
});

/** Gaps and steps are written at every contact from this scale on; below it only at the selected one. */
const LABELS_FROM_PX_PER_MM = 30;

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
  const { points, separationMm, alongArchMm, displacementMm } = contact;
  if (!points) return null;
  const [a, b] = points.map((p) => [xPx(p.alongMm), yPx(p.outMm)] as const);
  const middleX = (a[0] + b[0]) / 2;
  const lowest = Math.max(a[1], b[1]);
  const stepsOut = displacementMm !== null && displacementMm >= SHOWN_OFFSET_MM;
  const words: string[] = [];
  if (separationMm !== null && separationMm >= SHOWN_OFFSET_MM)
    words.push(`gap ${mm(separationMm)} by ${contact.separationFrom}`);
  else if (alongArchMm !== null && alongArchMm <= -SHOWN_OFFSET_MM) words.push(`overlap ${mm(-alongArchMm)}`);
  if (stepsOut) words.push(`displaced ${mm(displacementMm)}`);
  return (
    <>
      <path className="strip__tie" d={`M${middleX} ${lowest + 2}L${rowX} ${rows.rowPx}`} />
      {stepsOut && <path className="strip__offset" d={`M${a[0]} ${a[1]}L${b[0]} ${b[1]}`} />}
      <circle className="strip__dot" cx={a[0]} cy={a[1]} r="2" />
      <circle className="strip__dot" cx={b[0]} cy={b[1]} r="2" />
      {labelled && words.length > 0 && (
        <text x={middleX} y={rows.rulerPx + 12} textAnchor="middle" className="strip__note">
          {words.join(' · ')}
        </text>
      )}
    </>
  );
}
