import { memo } from 'react';
import { type Jaw, jawOf, permanentOf, primaryOf, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { MarkSite } from '../../core/marks/Mark.ts';
import type { ToothMeasure } from '../../core/measure/ArchMeasures.ts';
import { IconButton, NumberInput, Segments, TextButton } from '../design/controls.tsx';
import { CloseIcon } from '../design/icons.tsx';
import { mm, percent, SITE_NAMES, sd, toothName } from '../format.ts';
import { activeMarks, presenceOf, type ToothPresence } from '../state/archEdits.ts';
import { actions, useStore } from '../store.ts';
import { DockFrame } from './DockFrame.tsx';

const SITES: readonly MarkSite[] = ['mesial', 'distal', 'cusp', 'incisal'];

/** SD of a width typed in without one: a caliper read to 0.1 mm. Common practice, no source. */
const ENTERED_SD_MM = 0.1;

const sitesOf = (tooth: Tooth): readonly MarkSite[] =>
  SITES.filter((site) => (site === 'incisal' ? tooth % 10 <= 2 : site === 'cusp' ? tooth % 10 >= 3 : true));

/** One tooth: whether it is there, its marks, its width, and a width of the user's own. */
export function ToothInspector({
  record,
  tooth,
  measure,
  flags,
}: {
  record: ArchRecord;
  tooth: Tooth;
  measure: ToothMeasure | null;
  flags: readonly string[];
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  const selectedSite = useStore((state) => state.ui.selectedSite);
  const jaw = jawOf(tooth);
  const place = permanentOf(tooth);
  const presence = presenceOf(record.chart, place);
  const entered = record.chart.enteredWidths.find((entry) => entry.tooth === tooth) ?? null;
  const marks = activeMarks(record);
  return (
    <DockFrame title={`Tooth ${toothLabel(tooth, notation)}`} sub={toothName(tooth)}>
      <div className="dock__row">
        <Segments<ToothPresence>
          label="Presence"
          small
          value={presence}
          onChange={(next) => actions().setPresence(jaw, place, next)}
          choices={[
            { id: 'present', label: 'Present' },
            ...(primaryOf(place) === null ? [] : [{ id: 'primary' as const, label: 'Primary' }]),
            { id: 'missing', label: tooth % 10 === 8 ? 'Not counted' : 'Missing' },
            { id: 'unerupted', label: 'Unerupted' },
          ]}
        />
        <span className="num">
          width <b>{mm(measure?.widthMm)}</b> mm <span className="soft">{sd(measure?.sdMm)}</span>
        </span>
      </div>
      {flags.map((flag) => (
        <p key={flag} className="dock__say dock__say_strong">
          {flag}
        </p>
      ))}
      {(presence === 'present' || (presence === 'primary' && tooth !== place)) && (
        <table className="grid dock__marks">
          <thead>
            <tr>
              <th scope="col">Mark</th>
              <th scope="col">state</th>
              <th scope="col">
                <span className="visually-hidden">actions</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {sitesOf(tooth).map((site) => {
              const mark = marks.find((m) => m.tooth === tooth && m.site === site) ?? null;
              const current = selectedSite?.tooth === tooth && selectedSite.site === site;
              return (
                <tr key={site}>
                  <th scope="row">{SITE_NAMES[site]}</th>
                  <td>
                    {mark
                      ? `${mark.state}${mark.state === 'proposed' && mark.confidence !== null ? ` ${percent(mark.confidence)}` : ''}`
                      : 'not marked'}
                  </td>
                  <td>
                    <TextButton
                      small
                      aria-pressed={current}
                      onPress={() => actions().setUi({ selectedSite: { tooth, site } })}
                    >
                      {mark ? 'Show' : 'Mark'}
                    </TextButton>{' '}
                    {mark?.state === 'proposed' && (
                      <TextButton small onPress={() => actions().confirmMark(jaw, tooth, site)}>
                        Confirm
                      </TextButton>
                    )}{' '}
                    {mark && (
                      <IconButton
                        small
                        label={`Remove the ${SITE_NAMES[site]}`}
                        onPress={() => actions().removeMark(jaw, tooth, site)}
                      >
                        <CloseIcon />
                      </IconButton>
                    )}
                  </td>
                </tr>
              );
            })}
          </tbody>
        </table>
      )}
      <OwnWidth jaw={jaw} tooth={tooth} widthMm={entered?.widthMm ?? null} sdMm={entered?.sdMm ?? null} />
      <p className="dock__say">
        An entered width takes the place of the marks in every sum. Saying that a tooth is missing or
        unerupted takes its marks away; undo brings them back. A missing tooth needs no space unless a width
        is entered for its replacement.
      </p>
    </DockFrame>
  );
}

/** A width of the user's own in place of the marks; drawn again only when it changes. */
const OwnWidth = memo(function OwnWidth({
  jaw,
  tooth,
  widthMm,
  sdMm,
}: {
  jaw: Jaw;
  tooth: Tooth;
  widthMm: number | null;
  sdMm: number | null;
}) {
  return (
    <div className="dock__row">
      <NumberInput
        label="Width of your own"
        digits={2}
        step={0.01}
        min={0.5}
        max={20}
        value={widthMm}
        onChange={(next) =>
          actions().setEnteredWidth(
            jaw,
            tooth,
            next === null ? null : { widthMm: next, sdMm: sdMm ?? ENTERED_SD_MM },
          )
        }
      />
      <NumberInput
        label="Its SD"
        digits={2}
        step={0.01}
        min={0}
        max={2}
        value={sdMm}
        disabled={widthMm === null}
        onChange={(next) => {
          if (widthMm !== null)
            actions().setEnteredWidth(jaw, tooth, { widthMm, sdMm: next ?? ENTERED_SD_MM });
        }}
      />
      {widthMm !== null && (
        <TextButton small onPress={() => actions().setEnteredWidth(jaw, tooth, null)}>
          Back to the marks
        </TextButton>
      )}
    </div>
  );
});
