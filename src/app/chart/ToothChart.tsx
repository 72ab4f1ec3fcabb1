import { type KeyboardEvent, memo, useMemo, useRef, useState } from 'react';
import { Meter } from 'react-aria-components';
import {
  archOrder,
  type Jaw,
  jawOf,
  type Notation,
  permanentOf,
  primaryOf,
  type Tooth,
} from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { Segments } from '../design/controls.tsx';
import { toothName } from '../format.ts';
import { activeMarks, presenceOf, type ToothPresence } from '../state/archEdits.ts';
import { shownArch } from '../state/shownArch.ts';
import { actions, useStore } from '../store.ts';
import { selectTooth } from '../strip/select.ts';
import { type CellHandlers, type DotState, ToothCell } from './ToothCell.tsx';
import './ToothChart.css';

const JAWS: readonly Jaw[] = ['upper', 'lower'];

const markState = (record: ArchRecord, tooth: Tooth, site: 'mesial' | 'distal'): DotState =>
  activeMarks(record).find((mark) => mark.tooth === tooth && mark.site === site)?.state ?? 'none';

const PRESENCE_KEYS: Readonly<Record<string, ToothPresence>> = {
  m: 'missing',
  u: 'unerupted',
  p: 'present',
  d: 'primary',
};

const cellClass = (place: number): string =>
  place === 8 ? 'chart__cell chart__cell_midline' : 'chart__cell';

/** Contact points of one arch: how many there should be, how many stand and how many are confirmed. */
function markingProgress(record: ArchRecord): { needed: number; placed: number; confirmed: number } {
  const teeth = archOrder(record.jaw).flatMap((tooth): readonly Tooth[] => {
    const presence = presenceOf(record.chart, tooth);
    return presence === 'present' ? [tooth] : presence === 'primary' ? [tooth + 40] : [];
  });
  const sites = teeth.flatMap((tooth) =>
    (['mesial', 'distal'] as const).map((site) => markState(record, tooth, site)),
  );
  return {
    needed: sites.length,
    placed: sites.filter((state) => state !== 'none').length,
    confirmed: sites.filter((state) => state === 'confirmed').length,
  };
}

/** Arrow keys go from tooth to tooth; a letter says whether the tooth is there. */
function chartKey(event: KeyboardEvent, tooth: Tooth, focusOn: (tooth: Tooth) => boolean): void {
  const jaw = jawOf(tooth);
  const presence = PRESENCE_KEYS[event.key.toLowerCase()];
  if (presence && !event.ctrlKey && !event.metaKey && (presence !== 'primary' || primaryOf(tooth) !== null)) {
    event.stopPropagation();
    actions().setPresence(jaw, tooth, presence);
    actions().announce(
      `${toothName(tooth)} ${presence}${presence === 'present' ? '' : '; its marks are taken away, undo brings them back'}`,
    );
    return;
  }
  const row = archOrder(jaw);
  const at = row.indexOf(tooth);
  const across = archOrder(jaw === 'upper' ? 'lower' : 'upper')[at];
  const goal: Readonly<Record<string, Tooth | undefined>> = {
    ArrowRight: row[at + 1],
    ArrowLeft: row[at - 1],
    ArrowUp: jaw === 'lower' ? across : undefined,
    ArrowDown: jaw === 'upper' ? across : undefined,
    Home: row[0],
    End: row[row.length - 1],
  };
  const next = goal[event.key];
  if (next === undefined || !focusOn(next)) return;
  event.preventDefault();
  event.stopPropagation();
}

function cellState(record: ArchRecord | null, tooth: Tooth) {
  if (!record)
    return { hasScan: false, presence: 'missing', mesial: 'none', distal: 'none', enteredMm: null } as const;
  const presence = presenceOf(record.chart, tooth);
  const standing = presence === 'primary' ? tooth + 40 : tooth;
  return {
    hasScan: true,
    presence,
    mesial: markState(record, standing, 'mesial'),
    distal: markState(record, standing, 'distal'),
    enteredMm: record.chart.enteredWidths.find((entry) => entry.tooth === tooth)?.widthMm ?? null,
  };
}

/** Both arches as the dentist sees the patient: the patient's right on the left. */
export function ToothChart() {
  const caseDocument = useStore((state) => state.caseDocument);
  const activeJaw = useStore((state) => state.activeJaw);
  const selected = useStore((state) => state.ui.selectedTooth ?? state.ui.selectedSite?.tooth ?? null);
  const cells = useRef(new Map<Tooth, HTMLButtonElement>());
  const [stop, setStop] = useState<Tooth>(41);
  const { notation } = caseDocument;
  const stopIsThere = JAWS.some((jaw) => caseDocument.arches[jaw] && archOrder(jaw).includes(stop));
  const firstJaw = JAWS.find((jaw) => caseDocument.arches[jaw]);
  const shownStop = stopIsThere || !firstJaw ? stop : archOrder(firstJaw)[7];

  const handlers = useMemo((): CellHandlers => {
    const focusOn = (tooth: Tooth): boolean => {
      const button = cells.current.get(tooth);
      if (!button || button.disabled) return false;
      setStop(tooth);
      button.focus();
      return true;
    };
    return {
      register: (tooth, element) => {
        if (element) cells.current.set(tooth, element);
        else cells.current.delete(tooth);
      },
      keyDown: (event, tooth) => chartKey(event, tooth, focusOn),
      choose: (tooth) => {
        setStop(tooth);
        actions().setActiveJaw(jawOf(tooth));
        const record = useStore.getState().caseDocument.arches[jawOf(tooth)];
        const primary = record !== null && presenceOf(record.chart, tooth) === 'primary';
        selectTooth(primary ? tooth + 40 : tooth);
      },
    };
  }, []);
  const later = useStore((state) => state.ui.laterScan);
  /** The arch in the 3D view: a later scan where its marks are looked at. */
  const shownIn = (jaw: Jaw): ArchRecord | null => {
    const own = caseDocument.arches[jaw];
    return own && shownArch(own, later);
  };
  const record = shownIn(activeJaw);
  return (
    <section className="chart" aria-label="Tooth chart">
      {/* biome-ignore lint/a11y/noNoninteractiveElementToInteractiveRole: the arrow keys move through it as a grid */}
      <table className="chart__grid" role="grid" aria-label="Teeth, the patient’s right on the left">
        <tbody>
          {JAWS.map((jaw) => (
            <tr key={jaw}>
              <th scope="row" className="chart__name">
                {jaw === 'upper' ? 'Upper' : 'Lower'}
              </th>
              {archOrder(jaw).map((tooth, i) => (
                // biome-ignore lint/a11y/useFocusableInteractive: the button inside takes the focus
                // biome-ignore lint/a11y/noNoninteractiveElementToInteractiveRole: a cell of the grid above
                <td key={tooth} role="gridcell" className={cellClass(i)}>
                  <ToothCell
                    tooth={tooth}
                    notation={notation}
                    {...cellState(shownIn(jaw), tooth)}
                    selected={selected !== null && permanentOf(selected) === tooth}
                    inTabOrder={shownStop === tooth}
                    handlers={handlers}
                  />
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      <div className="chart__foot">
        {record ? (
          <Progress record={record} isLater={record !== caseDocument.arches[activeJaw]} />
        ) : (
          <span>Open a scan to chart its teeth.</span>
        )}
        <NotationChoice notation={notation} />
      </div>
    </section>
  );
}

function Progress({ record, isLater }: { record: ArchRecord; isLater: boolean }) {
  const { needed, placed, confirmed } = markingProgress(record);
  const proposed = placed - confirmed;
  const jaw = record.jaw === 'upper' ? 'Upper' : 'Lower';
  return (
    <>
      <Meter value={confirmed} maxValue={Math.max(1, needed)} aria-label={`${jaw} contact points confirmed`}>
        {({ percentage }) => (
          <div className="chart__bar">
            <i style={{ width: `${percentage}%` }} />
          </div>
        )}
      </Meter>
      <span className="num">
        {isLater ? `${jaw}, later scan` : jaw}: {confirmed} of {needed} points confirmed
        {proposed > 0 && `, ${proposed} proposed`}
      </span>
    </>
  );
}

const NotationChoice = memo(function NotationChoice({ notation }: { notation: Notation }) {
  return (
    <Segments<Notation>
      label="Tooth numbers"
      small
      value={notation}
      onChange={(next) => actions().setNotation(next)}
      choices={[
        { id: 'iso', label: 'ISO' },
        { id: 'universal', label: 'Universal' },
        { id: 'palmer', label: 'Palmer' },
      ]}
    />
  );
});
