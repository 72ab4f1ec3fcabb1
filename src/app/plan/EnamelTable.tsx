import { toothLabel } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { enamelThickness, RADIOGRAPH_MAX_MM } from '../../core/reduction/enamel.ts';
import type { SurfaceEnamel } from '../../core/reduction/enamelOverview.ts';
import { NumberInput } from '../design/controls.tsx';
import { fixed, mm, percent, sd } from '../format.ts';
import { contactSettingsOf } from '../state/archEdits.ts';
import { actions, useStore } from '../store.ts';
import { enamelSources, sourceText } from './enamelSources.ts';

const LIMIT_WORDS: Readonly<Record<SurfaceEnamel['limitFrom'], string>> = {
  'half-enamel': 'half',
  'half-enamel-less-earlier': 'half, less earlier',
  'half-radiograph': 'half of radiograph, less earlier',
  user: 'your own',
  'no-published-value': 'no value published',
};

/** Every surface: enamel, limit, planned and left. With `record` it can be edited, without it is for paper. */
export function EnamelTable({ rows, record }: { rows: readonly SurfaceEnamel[]; record: ArchRecord | null }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const sources = enamelSources(rows);
  return (
    <table className="grid num enamel">
      <thead>
        <tr>
          <th scope="col">Surface, mm</th>
          <th scope="col">published</th>
          <th scope="col">on radiograph</th>
          <th scope="col">taken earlier</th>
          <th scope="col">limit</th>
          <th scope="col">planned</th>
          <th scope="col">left</th>
          <th scope="col">taken</th>
          <th scope="col" className="grid__text">
            stricter limit
          </th>
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => {
          const name = `${toothLabel(row.tooth, notation)} ${row.surface}`;
          const published = enamelThickness(row.tooth, row.surface);
          const mark = published ? sources.indexOf(sourceText(published.source)) + 1 : 0;
          return (
            <tr
              key={`${row.teeth.join('-')}-${row.side}`}
              className={row.side === 0 ? 'enamel__first' : undefined}
            >
              <th scope="row">{name}</th>
              <td title={published?.note ?? undefined}>
                {published ? `${mm(published.meanMm)} ${sd(published.sdMm)}` : '–'}
                {mark > 0 && <sup>{mark}</sup>}
              </td>
              <td>
                {record ? (
                  <Thickness row={row} record={record} name={name} />
                ) : row.limitFrom === 'half-radiograph' || !row.source || row.source.standing === 'user' ? (
                  mm(row.source?.standing === 'user' ? row.enamelMm : null)
                ) : (
                  '–'
                )}
              </td>
              <td>{record ? <Earlier row={row} record={record} name={name} /> : mm(row.earlierMm)}</td>
              <td title={LIMIT_WORDS[row.limitFrom]}>
                {mm(row.limitMm)}
                {row.limitFrom === 'user' && '*'}
              </td>
              <td>{mm(row.plannedMm)}</td>
              <td className={row.leftMm !== null && row.leftMm < 0.3 ? 'enamel__thin' : undefined}>
                {mm(row.leftMm)}
              </td>
              <td>{row.takenShare === null ? '–' : percent(row.takenShare)}</td>
              {row.side === 0 && (
                <td className="grid__text" rowSpan={2}>
                  {row.reason}
                </td>
              )}
            </tr>
          );
        })}
      </tbody>
      {rows.some((row) => row.limitFrom === 'user') && (
        <tfoot>
          <tr>
            <td colSpan={9} className="grid__text sheet__note">
              * a limit of your own
            </td>
          </tr>
        </tfoot>
      )}
    </table>
  );
}

interface CellProps {
  readonly row: SurfaceEnamel;
  readonly record: ArchRecord;
  readonly name: string;
}

const withSide = <T,>(pair: readonly [T, T], side: 0 | 1, value: T): readonly [T, T] =>
  side === 0 ? [value, pair[1]] : [pair[0], value];

function Thickness({ row, record, name }: CellProps) {
  const { enamelMm = [null, null] } = contactSettingsOf(record, row.teeth);
  return (
    <NumberInput
      label={`Enamel on the radiograph, ${name}, mm`}
      labelHidden
      unit=""
      step={0.05}
      digits={2}
      min={0}
      max={RADIOGRAPH_MAX_MM}
      width="5.5rem"
      placeholder="–"
      value={enamelMm[row.side]}
      onChange={(value) =>
        actions().setContactSettings(record.jaw, row.teeth, { enamelMm: withSide(enamelMm, row.side, value) })
      }
    />
  );
}

function Earlier({ row, record, name }: CellProps) {
  const { earlierReductionMm } = contactSettingsOf(record, row.teeth);
  return (
    <NumberInput
      label={`Taken earlier, ${name}, mm`}
      labelHidden
      unit=""
      step={0.05}
      digits={2}
      min={0}
      max={2}
      width="5.5rem"
      value={earlierReductionMm[row.side]}
      placeholder={fixed(0)}
      onChange={(value) =>
        actions().setContactSettings(record.jaw, row.teeth, {
          earlierReductionMm: withSide(earlierReductionMm, row.side, value ?? 0),
        })
      }
    />
  );
}
