import { SEVERITY_SCALES, severityChances, severityGrades } from '../../core/space/severity.ts';
import { fixed, percent, STANDING_WORDS } from '../format.ts';

const bandWords = (fromMm: number, toMm: number): string => {
  if (!Number.isFinite(toMm)) return `from ${fixed(Math.round(fromMm * 10) / 10, 0)}`;
  if (fromMm === 0) return `to ${fixed(Math.round(toMm * 10) / 10, 0)}`;
  return `${fixed(Math.round(fromMm * 10) / 10, 0)} to ${fixed(Math.round(toMm * 10) / 10, 0)}`;
};

/** How severe a shortage is by the bands of each source, with the chance of every band given the SD. */
export function SeverityTable({ shortageMm, sdMm }: { shortageMm: number; sdMm: number | null }) {
  const grades = severityGrades(shortageMm);
  return (
    <table className="severity">
      <thead>
        <tr>
          <th scope="col">Source</th>
          <th scope="col">this shortage</th>
          <th scope="col">bands, mm, with their chance</th>
        </tr>
      </thead>
      <tbody>
        {SEVERITY_SCALES.map((scale) => {
          const grade = grades.find((g) => g.scale.id === scale.id)?.grade ?? null;
          const { bands, between } = severityChances(scale, shortageMm, sdMm ?? 0);
          return (
            <tr key={scale.id}>
              <td>
                {shortSource(scale.source.text)}
                <small>
                  {STANDING_WORDS[scale.source.standing]}
                  {scale.note && `; ${scale.note}`}
                </small>
              </td>
              <td>
                <b>{grade ?? (shortageMm > 0 ? 'between two bands' : 'no shortage')}</b>
              </td>
              <td className="num">
                {scale.bands.map((band, i) => (
                  <div key={band.grade}>
                    {band.grade} {bandWords(band.fromMm, band.toMm)}
                    {sdMm !== null && sdMm > 0 && <span className="soft"> · {percent(bands[i])}</span>}
                  </div>
                ))}
                {between > 0.005 && sdMm !== null && sdMm > 0 && (
                  <div className="soft">between two bands · {percent(between)}</div>
                )}
              </td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

/** A source without the remark of how it is known, which stands below it. */
const shortSource = (text: string): string => text.replace(/ \(mild.*\)|; from memory, unverified/g, '');
