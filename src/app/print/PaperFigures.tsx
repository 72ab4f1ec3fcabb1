import type { ReactNode } from 'react';
import type { ArchAccount } from '../../core/casefile/archAccount.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { pointsInWords } from '../../core/space/pointsInWords.ts';
import { severityGrades } from '../../core/space/severity.ts';
import { FORM_NAMES, mm, percent, sd, signed, sourceWords } from '../format.ts';
import { type Figure, FigureHead } from '../ledger/FigureTable.tsx';

/** Figures with their SDs, and where an account brings them their shares of the variance. */
export function PaperFigures({
  figures,
  foot,
  withSign = false,
}: {
  figures: readonly Figure[];
  foot?: ReactNode;
  withSign?: boolean;
}) {
  const withShare = figures.some((figure) => figure.varianceShare !== undefined);
  return (
    <table className={withShare ? 'account account_shares' : 'account'}>
      {withShare && <FigureHead withShare />}
      <tbody>
        {figures.map((figure) => (
          <tr key={figure.id}>
            <th scope="row">
              {figure.what}
              {figure.varianceShare !== undefined && (
                <span className="account__standing">{sourceWords(figure.source)}</span>
              )}
              {figure.remark && <span className="account__standing">{figure.remark}</span>}
              {figure.missing && <span className="account__standing">missing: {figure.missing}</span>}
            </th>
            <td className="account__mm">
              {figure.valueMm === null ? '–' : withSign ? signed(figure.valueMm) : mm(figure.valueMm)}
            </td>
            <td className="account__sd">{sd(figure.sdMm)}</td>
            {withShare && (
              <td className="account__share">
                {typeof figure.varianceShare === 'number' ? percent(figure.varianceShare) : '–'}
              </td>
            )}
          </tr>
        ))}
      </tbody>
      {foot}
    </table>
  );
}

/** Severity by each source's bands, in a line each. */
export function PaperSeverity({ shortageMm }: { shortageMm: number }) {
  return (
    <ul className="paper__note">
      {severityGrades(shortageMm).map(({ scale, grade }) => (
        <li key={scale.id}>
          <b>{grade ?? 'between two bands'}</b> by {scale.source.text}
        </li>
      ))}
    </ul>
  );
}

/** The arch line as the first of the arch's figures. */
export function lineFigure(record: ArchRecord, { measures }: ArchAccount): Figure {
  return {
    id: 'line',
    what: `Arch line, ${FORM_NAMES[record.form].toLowerCase()}`,
    valueMm: measures.line?.length.valueMm ?? null,
    sdMm: measures.line?.length.sdMm ?? null,
    source: {
      standing: 'measured',
      text: pointsInWords(
        measures,
        measures.teeth.map(({ tooth }) => tooth),
      ),
    },
    missing: measures.line ? null : 'contact points',
    teeth: [],
    remark: measures.line ? `fit ${mm(measures.line.fitRmsMm)}\u00a0mm` : undefined,
  };
}
