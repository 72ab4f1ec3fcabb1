import { useLayoutEffect, useRef } from 'react';
import { type Contact, toothLabel } from '../../core/base/tooth.ts';
import type { Vec2 } from '../../core/base/Vec3.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import { contactKey } from '../../core/visits/CutEntry.ts';
import { contactLabel } from '../format.ts';
import type { OcclusalPicture } from '../print/occlusalPicture.ts';
import { useStore } from '../store.ts';
import { archDrawing, type DrawnContact, LABEL_MM, labelPlaces } from './archDrawing.ts';

/** What is written at a contact of the drawing. */
export interface ContactWords {
  readonly teeth: Contact;
  readonly order: number | null;
  readonly main: string; // "0.2"
  readonly below: string | null; // "0.1 | 0.1"
  readonly held: string | null; // "0.1"
}

/**
 * The arch from above, to scale, with the tenths at its contacts; legible in black and white. Drawn over the scan
 * itself where its picture is given, else with schematic outlines.
 */
export function ArchFigure({
  measures,
  words,
  label,
  picture = null,
}: {
  measures: ArchMeasures;
  words: readonly ContactWords[];
  label: string;
  picture?: OcclusalPicture | null;
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  const { teeth, contacts } = archDrawing(measures);
  if (teeth.length === 0) return <p className="sheet__note">Nothing is marked yet.</p>;
  const points = teeth.flatMap((tooth) => tooth.outline);
  const [xs, ys] = [points.map(([x]) => x), points.map(([, y]) => y)];
  const own = (contact: DrawnContact): ContactWords | undefined =>
    words.find((w) => contactKey(w.teeth) === contactKey(contact.teeth));
  const places = labelPlaces(
    measures.jaw,
    teeth,
    contacts.filter((contact) => own(contact)),
  );
  const ends = picture
    ? [picture.fromMm, [picture.fromMm[0] + picture.sizeMm[0], picture.fromMm[1] + picture.sizeMm[1]]]
    : [];
  const edges = {
    xs: [
      ...xs,
      ...ends.map(([x]) => x),
      ...places.flatMap(({ middle: [x] }) => [x - LABEL_MM.halfWidth, x + LABEL_MM.halfWidth]),
    ],
    ys: [
      ...ys,
      ...ends.map(([, y]) => y),
      ...places.flatMap(({ middle: [, y] }) => [y - LABEL_MM.above, y + LABEL_MM.below]),
    ],
  };
  const from: Vec2 = [Math.min(...edges.xs) - 1, Math.min(...edges.ys) - 1];
  const size: Vec2 = [Math.max(...edges.xs) - from[0] + 1, Math.max(...edges.ys) - from[1] + 1];
  const drawing = (
    <svg
      className="archfigure"
      viewBox={`${from[0]} ${from[1]} ${size[0]} ${size[1]}`}
      role="img"
      aria-label={label}
      style={{ aspectRatio: `${size[0]} / ${size[1]}` }}
    >
      {teeth.map(({ tooth, outline, middle }) => (
        <g key={tooth}>
          {!picture && (
            <polygon className="archfigure__tooth" points={outline.map((p) => p.join(',')).join(' ')} />
          )}
          <text className="archfigure__number" x={middle[0]} y={middle[1]} dy="0.35em">
            {toothLabel(tooth, notation)}
          </text>
        </g>
      ))}
      {places.map(({ contact, middle }) => {
        const said = own(contact);
        return (
          said && (
            <ContactNote
              key={contactKey(contact.teeth)}
              at={contact.at}
              middle={middle}
              own={said}
              name={contactLabel(contact.teeth, notation)}
            />
          )
        );
      })}
      <ScaleBar at={[(Math.min(...xs) + Math.max(...xs)) / 2 - 5, (Math.min(...ys) + Math.max(...ys)) / 2]} />
    </svg>
  );
  if (!picture) return drawing;
  return (
    <div className="scanfigure" style={{ aspectRatio: `${size[0]} / ${size[1]}` }}>
      <ScanCanvas picture={picture} fromMm={from} sizeMm={size} />
      {drawing}
    </div>
  );
}

/** The scan's picture in its place behind the drawing; painted before the browser lays out the paper. */
function ScanCanvas({ picture, fromMm, sizeMm }: { picture: OcclusalPicture; fromMm: Vec2; sizeMm: Vec2 }) {
  const ref = useRef<HTMLCanvasElement>(null);
  const { widthPx, heightPx, pixels } = picture;
  useLayoutEffect(() => {
    ref.current?.getContext('2d')?.putImageData(new ImageData(pixels, widthPx, heightPx), 0, 0);
  }, [pixels, widthPx, heightPx]);
  const share = (k: 0 | 1): string => `${(100 * (picture.fromMm[k] - fromMm[k])) / sizeMm[k]}%`;
  return (
    <canvas
      ref={ref}
      width={widthPx}
      height={heightPx}
      style={{
        left: share(0),
        top: share(1),
        width: `${(100 * picture.sizeMm[0]) / sizeMm[0]}%`,
        height: `${(100 * picture.sizeMm[1]) / sizeMm[1]}%`,
      }}
    />
  );
}

/** The inside of the arch has room for the scale. */
function ScaleBar({ at: [x, y] }: { at: Vec2 }) {
  return (
    <g className="archfigure__scale">
      <path d={`M${x} ${y - 1}V${y + 1}M${x} ${y}H${x + 10}M${x + 10} ${y - 1}V${y + 1}`} />
      <text x={x + 5} y={y - 2}>
        10 mm
      </text>
    </g>
  );
}

function ContactNote({
  at,
  middle: [x, y],
  own,
  name,
}: {
  at: Vec2;
  middle: Vec2;
  own: ContactWords;
  name: string;
}) {
  return (
    <g>
      <title>{name}</title>
      <path className="archfigure__lead" d={`M${at[0]} ${at[1]}L${x} ${y}`} />
      <circle className="archfigure__dot" cx={at[0]} cy={at[1]} r="0.7" />
      <rect className="archfigure__box" x={x - 5.2} y={y - 3.4} width="10.4" height="6.8" rx="0.8" />
      <text
        className="archfigure__main"
        x={own.order === null ? x : x + 1.6}
        y={own.below ? y - 0.2 : y + 1.1}
      >
        {own.main}
      </text>
      {own.order !== null && (
        <>
          <circle className="archfigure__order" cx={x - 3} cy={y - 1.2} r="1.7" />
          <text className="archfigure__ordinal" x={x - 3} y={y - 1.2} dy="0.35em">
            {own.order}
          </text>
        </>
      )}
      {own.below && (
        <text className="archfigure__below" x={x} y={y + 2.7}>
          {own.below}
        </text>
      )}
      {own.held && (
        <g>
          <rect className="archfigure__held" x={x - 5.2} y={y + 3.9} width="10.4" height="3.4" rx="0.6" />
          <text className="archfigure__below" x={x} y={y + 6.5}>
            held {own.held}
          </text>
        </g>
      )}
    </g>
  );
}
