import { type KeyboardEvent, useRef, useState } from 'react';
import { Button, Meter } from 'react-aria-components';
import {
  archOrder,
  type Jaw,
  type Notation,
  positionOf,
  type Tooth,
  toothLabel,
} from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { Segments, TextButton } from '../design/controls.tsx';
import { toothName } from '../format.ts';
import { activeMarks, presenceOf, type ToothPresence } from '../state/archEdits.ts';
import { actions, useStore } from '../store.ts';
import { selectTooth } from '../strip/select.ts';
import './ToothChart.css';

const JAWS: readonly Jaw[] = ['upper', 'lower'];

type DotState = 'none' | 'proposed' | 'confirmed';

const markState = (record: ArchRecord, tooth: Tooth, site: 'mesial' | 'distal'): DotState =>
  activeMarks(record).find((mark) => mark.tooth === tooth && mark.site === site)?.state ?? 'none';

const DOT_WORDS: Readonly<Record<DotState, string>> = {
  none: 'not marked',
  proposed: 'proposed',
  confirmed: 'confirmed',
};

const PRESENCE_KEYS: Readonly<Record<string, ToothPresence>> = {
  m: 'missing',
  u: 'unerupted',
  p: 'present',
};

const cellClass = (place: number): string =>
  place === 8 ? 'chart__cell chart__cell_midline' : 'chart__cell';

/** Contact points of one arch: how many there should be, how many stand and how many are confirmed. */
export function markingProgress(record: ArchRecord): { needed: number; placed: number; confirmed: number } {
  const teeth = archOrder(record.jaw).filter((tooth) => presenceOf(record.chart, tooth) === 'present');
  const sites = teeth.flatMap((tooth) =>
    (['mesial', 'distal'] as const).map((site) => markState(record, tooth, site)),
  );
  return {
    needed: sites.length,
    placed: sites.filter((state) => state !== 'none').length,
    confirmed: sites.filter((state) => state === 'confirmed').length,
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

  const onKeyDown = (event: KeyboardEvent, jaw: Jaw, tooth: Tooth): void => {
    const row = archOrder(jaw);
    const at = row.indexOf(tooth);
    const other = archOrder(jaw === 'upper' ? 'lower' : 'upper')[at];
    const goal: Record<string, Tooth | undefined> = {
      ArrowRight: row[at + 1],
      ArrowLeft: row[at - 1],
      ArrowUp: jaw === 'lower' ? other : undefined,
      ArrowDown: jaw === 'upper' ? other : undefined,
      Home: row[0],
      End: row[row.length - 1],
    };
    const presence = PRESENCE_KEYS[event.key.toLowerCase()];
    if (presence && !event.ctrlKey && !event.metaKey) {
      event.stopPropagation();
      actions().setPresence(jaw, tooth, presence);
      actions().announce(`${toothName(tooth)} ${presence}`);
      return;
    }
    const next = goal[event.key];
    const button = next === undefined ? undefined : cells.current.get(next);
    if (!button || next === undefined) return;
    event.preventDefault();
    event.stopPropagation();
    setStop(next);
    button.focus();
  };

  const record = caseDocument.arches[activeJaw];
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
                    record={caseDocument.arches[jaw]}
                    tooth={tooth}
                    notation={notation}
                    selected={selected === tooth}
                    inTabOrder={shownStop === tooth}
                    register={(element) => {
                      if (element) cells.current.set(tooth, element);
                      else cells.current.delete(tooth);
                    }}
                    onKeyDown={(event) => onKeyDown(event, jaw, tooth)}
                    onChoose={() => {
                      setStop(tooth);
                      actions().setActiveJaw(jaw);
                      selectTooth(tooth);
                    }}
                  />
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
      <div className="chart__foot">
        {record ? <Progress record={record} /> : <span>Open a scan to chart its teeth.</span>}
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
      </div>
    </section>
  );
}

function Progress({ record }: { record: ArchRecord }) {
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
        {jaw}: {confirmed} of {needed} points confirmed
        {proposed > 0 && `, ${proposed} proposed`}
      </span>
      {proposed > 0 && (
        <TextButton
          small
          onPress={() => {
            actions().confirmAll(record.jaw);
            actions().announce(`${proposed} proposed marks confirmed`);
          }}
        >
          Confirm {proposed}
        </TextButton>
      )}
    </>
  );
}

function ToothCell({
  record,
  tooth,
  notation,
  selected,
  inTabOrder,
  register,
  onKeyDown,
  onChoose,
}: {
  record: ArchRecord | null;
  tooth: Tooth;
  notation: Notation;
  selected: boolean;
  inTabOrder: boolean;
  register: (element: HTMLButtonElement | null) => void;
  onKeyDown: (event: KeyboardEvent) => void;
  onChoose: () => void;
}) {
  const presence = record ? presenceOf(record.chart, tooth) : 'missing';
  const mesial = record ? markState(record, tooth, 'mesial') : 'none';
  const distal = record ? markState(record, tooth, 'distal') : 'none';
  const entered = record?.chart.enteredWidths.find((entry) => entry.tooth === tooth) ?? null;
  const onRight = Math.floor(tooth / 10) === 1 || Math.floor(tooth / 10) === 4;
  const dots = onRight ? [distal, mesial] : [mesial, distal];
  const uncounted = positionOf(tooth) === 8 && presence === 'missing';
  const state = !record
    ? 'no scan of this arch'
    : presence !== 'present'
      ? uncounted
        ? 'not counted'
        : presence
      : entered
        ? `width ${entered.widthMm} mm entered`
        : `mesial ${DOT_WORDS[mesial]}, distal ${DOT_WORDS[distal]}`;
  const classes = ['chart__tooth'];
  if (selected) classes.push('chart__tooth_selected');
  if (record && presence !== 'present' && !uncounted) classes.push(`chart__tooth_${presence}`);
  return (
    // Keys are caught on the way up: the button itself answers Enter and Space.
    // biome-ignore lint/a11y/noStaticElementInteractions: the button inside is the control
    <div onKeyDown={onKeyDown}>
      <Button
        ref={register}
        className={classes.join(' ')}
        isDisabled={!record}
        excludeFromTabOrder={!inTabOrder}
        aria-label={`${toothLabel(tooth, notation)}, ${toothName(tooth)}: ${state}`}
        aria-current={selected ? 'true' : undefined}
        onPress={onChoose}
      >
        <span className={uncounted ? 'chart__uncounted' : undefined}>{toothLabel(tooth, notation)}</span>
        <span className="chart__dots" aria-hidden="true">
          {record && presence === 'present' && !entered && !uncounted && (
            <>
              <i className={`chart__dot chart__dot_${dots[0]}`} />
              <i className={`chart__dot chart__dot_${dots[1]}`} />
            </>
          )}
          {record && entered && <i className="chart__dot chart__dot_entered" />}
        </span>
      </Button>
    </div>
  );
}
