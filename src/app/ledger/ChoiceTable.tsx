import type { CSSProperties, ReactNode } from 'react';
import { Radio, RadioGroup } from 'react-aria-components';
import './choices.css';

export interface ChoiceRow {
  readonly id: string;
  readonly title: string;
  readonly note?: string; // how far it can be trusted, what it lacks
  readonly cells: readonly ReactNode[];
  readonly spoken: string; // what the cells say, after the title
  readonly disabled?: boolean;
}

/** Choices set side by side in a table: what each gives is read before one is taken. */
export function ChoiceTable({
  label,
  heads,
  rows,
  value,
  onChange,
  figureRem = [4.2],
}: {
  label: string;
  heads: readonly string[]; // the first is that of the titles
  rows: readonly ChoiceRow[];
  value: string | null;
  onChange: (id: string) => void;
  figureRem?: readonly number[]; // widths of the columns of figures; the last serves all that follow
}) {
  const style = {
    '--choice-columns': `1.25rem minmax(0, 1fr) ${heads
      .slice(1)
      .map((_, i) => `${figureRem[Math.min(i, figureRem.length - 1)]}rem`)
      .join(' ')}`,
  } as CSSProperties;
  return (
    <RadioGroup className="forms choices" style={style} aria-label={label} value={value} onChange={onChange}>
      <div className="forms__row forms__head choices__row" aria-hidden="true">
        <span />
        {heads.map((head, i) => (
          <span key={head} className={i === 0 ? undefined : 'forms__figure'}>
            {head}
          </span>
        ))}
      </div>
      {rows.map((row) => (
        <Radio
          key={row.id}
          value={row.id}
          isDisabled={row.disabled ?? false}
          className="forms__row choices__row"
          aria-label={`${row.title}: ${row.spoken}`}
        >
          <span className="forms__dot" aria-hidden="true" />
          <span className="choices__title">
            {row.title}
            {row.note && <small className="choices__note">{row.note}</small>}
          </span>
          {row.cells.map((cell, i) => (
            <span key={i} className="num forms__figure">
              {cell}
            </span>
          ))}
        </Radio>
      ))}
    </RadioGroup>
  );
}
