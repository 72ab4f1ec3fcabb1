import { Fragment, type ReactNode, useState } from 'react';
import { Button } from 'react-aria-components';
import type { Source } from '../../core/base/Source.ts';
import { type Notation, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import { fixed, mm, percent, STANDING_WORDS, sd, signed, sourceWords } from '../format.ts';
import { actions, useStore } from '../store.ts';
import './ledger.css';
import './account.css';

/** A line of an account: a number, how sure it is, where it comes from and which teeth's marks it rests on. */
export interface Figure {
  readonly id: string;
  readonly what: string;
  readonly valueMm: number | null;
  readonly sdMm: number | null;
  readonly source: Source;
  readonly missing: string | null;
  readonly teeth: readonly Tooth[];
  readonly remark?: string;
  readonly unit?: string;
  readonly strong?: boolean; // a subtotal
  /** Part of the balance's variance this line answers for. */
  readonly varianceShare?: number | null;
}

/** Lines whose number opens into its evidence; the open line's marks are shown on the arch. */
export function FigureTable({
  caption,
  figures,
  showSign = false,
  foot,
}: {
  caption: string;
  figures: readonly Figure[];
  showSign?: boolean;
  foot?: ReactNode;
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  const [openId, setOpenId] = useState<string | null>(null);
  const toggle = (figure: Figure): void => {
    const opens = openId !== figure.id;
    setOpenId(opens ? figure.id : null);
    actions().setUi({
      revealEvidence: opens && figure.teeth.length > 0 ? { teeth: figure.teeth, label: figure.what } : null,
    });
  };
  const withShare = figures.some((figure) => figure.varianceShare !== undefined);
  return (
    <table className={withShare ? 'account account_shares' : 'account'}>
      <caption className="visually-hidden">{caption}</caption>
      <FigureHead withShare={withShare} />
      <tbody>
        {figures.map((figure) => {
          const open = openId === figure.id;
          return (
            <Fragment key={figure.id}>
              <tr
                className={[open && 'account__open', figure.strong && 'account__sub']
                  .filter(Boolean)
                  .join(' ')}
              >
                <th scope="row">
                  <Button className="account__what" aria-expanded={open} onPress={() => toggle(figure)}>
                    <i aria-hidden="true">{open ? '▾' : '▸'}</i>
                    <span>{figure.what}</span>
                    {withShare && <span className="account__standing">{sourceWords(figure.source)}</span>}
                    {figure.remark && <span className="account__standing">{figure.remark}</span>}
                    {figure.missing && (
                      <span className="account__standing account__missing">missing: {figure.missing}</span>
                    )}
                  </Button>
                </th>
                <td className="account__mm">
                  {figure.valueMm === null ? '–' : showSign ? signed(figure.valueMm) : fixed(figure.valueMm)}
                  {figure.unit && figure.valueMm !== null && figure.unit}
                </td>
                <td className="account__sd">{sd(figure.sdMm)}</td>
                {withShare && (
                  <td className="account__share">
                    {figure.varianceShare === null || figure.varianceShare === undefined
                      ? '–'
                      : percent(figure.varianceShare)}
                  </td>
                )}
              </tr>
              {open && (
                <tr className="account__more">
                  <td colSpan={withShare ? 4 : 3}>
                    <Evidence figure={figure} notation={notation} />
                  </td>
                </tr>
              )}
            </Fragment>
          );
        })}
      </tbody>
      {foot}
    </table>
  );
}

function Evidence({ figure, notation }: { figure: Figure; notation: Notation }) {
  return (
    <dl>
      <dt>Standing</dt>
      <dd>{STANDING_WORDS[figure.source.standing]}</dd>
      <dt>Source</dt>
      <dd>{figure.source.text}</dd>
      {figure.valueMm !== null && figure.sdMm !== null && figure.sdMm > 0 && (
        <>
          <dt>95 % range</dt>
          <dd className="num">
            {mm(figure.valueMm - 1.96 * figure.sdMm)} to {mm(figure.valueMm + 1.96 * figure.sdMm)}&nbsp;mm
          </dd>
        </>
      )}
      {figure.varianceShare !== undefined && figure.varianceShare !== null && (
        <>
          <dt>Uncertainty</dt>
          <dd>{percent(figure.varianceShare)} of the variance of the balance, shared marks included</dd>
        </>
      )}
      <dt>Rests on</dt>
      <dd>
        {figure.teeth.length === 0
          ? 'no marks'
          : `marks of ${figure.teeth.map((tooth) => toothLabel(tooth, notation)).join(', ')}, shown on the arch`}
      </dd>
    </dl>
  );
}

/** Head of a table of figures; an account has shares of the variance too. */
export function FigureHead({ withShare }: { withShare: boolean }) {
  return (
    <thead>
      <tr>
        <th scope="col">Entry</th>
        <th scope="col" className="account__mm">
          mm
        </th>
        <th scope="col" className="account__sd">
          SD
        </th>
        {withShare && (
          <th scope="col" className="account__share">
            share
          </th>
        )}
      </tr>
    </thead>
  );
}
