import { type KeyboardEvent, memo, type ReactNode, useRef, useState } from 'react';
import { sameContent } from './steady.tsx';

export interface GridRow {
  readonly id: string;
  readonly name: string; // as it is spoken
  readonly cells: readonly ReactNode[]; // the first names the row
}

/**
 * A table whose rows are chosen: one tab stop, arrow keys go through it, Enter or a click chooses. The component
 * library's table builds its whole collection anew with each figure that changes, 40 ms of a moved mark.
 */
export function RowGrid({
  label,
  heads,
  rows,
  selectedId,
  onSelect,
}: {
  label: string;
  heads: readonly string[];
  rows: readonly GridRow[];
  selectedId: string | null;
  onSelect: (id: string) => void;
}) {
  const [stop, setStop] = useState<string | null>(null);
  const table = useRef<HTMLTableElement>(null);
  const latest = useRef({ rows, onSelect });
  latest.current = { rows, onSelect };
  const [handlers] = useState(() => {
    const choose = (id: string): void => {
      setStop(id);
      latest.current.onSelect(id);
    };
    const keyDown = (event: KeyboardEvent, id: string): void => {
      const { rows: list } = latest.current;
      const at = list.findIndex((row) => row.id === id);
      const goal: Readonly<Record<string, number>> = {
        ArrowDown: Math.min(list.length - 1, at + 1),
        ArrowUp: Math.max(0, at - 1),
        Home: 0,
        End: list.length - 1,
      };
      const next = list[goal[event.key] ?? -1];
      if (event.key === 'Enter' || event.key === ' ') choose(id);
      else if (next) {
        setStop(next.id);
        table.current?.querySelector<HTMLElement>(`[data-row="${next.id}"]`)?.focus();
      } else return;
      event.preventDefault();
      event.stopPropagation();
    };
    return { choose, keyDown };
  });
  const first = rows.some((row) => row.id === stop) ? stop : (selectedId ?? rows[0]?.id);
  return (
    // biome-ignore lint/a11y/noNoninteractiveElementToInteractiveRole: the arrow keys move through it as a grid
    <table className="grid" role="grid" aria-label={label} ref={table}>
      <thead>
        <tr>
          {heads.map((head, i) => (
            <th key={i} scope="col">
              {head}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <KeptRow
            key={row.id}
            row={row}
            selected={row.id === selectedId}
            inTabOrder={row.id === first}
            handlers={handlers}
          />
        ))}
      </tbody>
    </table>
  );
}

interface RowProps {
  readonly row: GridRow;
  readonly selected: boolean;
  readonly inTabOrder: boolean;
  readonly handlers: {
    readonly choose: (id: string) => void;
    readonly keyDown: (event: KeyboardEvent, id: string) => void;
  };
}

const KeptRow = memo(
  function KeptRow({ row, selected, inTabOrder, handlers }: RowProps) {
    const [head, ...cells] = row.cells;
    return (
      <tr
        aria-label={row.name}
        aria-selected={selected}
        data-selected={selected || undefined}
        data-row={row.id}
        tabIndex={inTabOrder ? 0 : -1}
        onClick={() => handlers.choose(row.id)}
        onKeyDown={(event) => handlers.keyDown(event, row.id)}
      >
        <th scope="row">{head}</th>
        {cells.map((cell, i) => (
          // biome-ignore lint/a11y/useFocusableInteractive: the row takes the focus
          // biome-ignore lint/a11y/noNoninteractiveElementToInteractiveRole: a cell of the grid above
          <td key={i} role="gridcell">
            {cell}
          </td>
        ))}
      </tr>
    );
  },
  (a, b) => a.selected === b.selected && a.inTabOrder === b.inTabOrder && sameContent(a.row, b.row),
);
