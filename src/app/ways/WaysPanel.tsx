import { useMemo } from 'react';
import { Checkbox } from 'react-aria-components';
import type { ArchAccount } from '../../core/casefile/archAccount.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { cautionsAt } from '../../core/reduction/cautions.ts';
import { enamelRoom } from '../../core/reduction/enamelRoom.ts';
import {
  type AlternativesContext,
  type AlternativesTable,
  alternativesTable,
  type Combination,
  combineAlternatives,
  extractionSets,
} from '../../core/space/alternatives.ts';
import { WAY_GROUPS, wayGroup } from '../../core/space/alternativeWays.ts';
import type { CostContext } from '../../core/space/costsInNumbers.ts';
import { severityGrades } from '../../core/space/severity.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import { TextButton } from '../design/controls.tsx';
import { fixed, mm, percent, sd, signed, unbroken } from '../format.ts';
import { sayingBalance } from '../ledger/balanceChange.ts';
import { actions, useStore } from '../store.ts';
import { allowancesOf } from './takeOver.ts';
import { WayCard } from './WayCard.tsx';
import './ways.css';
import { choicesOf, wayOfDraft } from './wayChoices.ts';
import { changeDraft, draftsOf, NO_DRAFT, untickAll, useWays } from './waysStore.ts';

/** Other ways to come by space, or to use it, side by side with what each gives and costs. Nothing is ranked. */
export function WaysPanel({ record, account }: { record: ArchRecord; account: ArchAccount }) {
  const { ledger, measures, asked } = account;
  const { jaw } = record;
  const caseId = useStore((state) => state.caseDocument.id);
  const drafts = useWays((state) => draftsOf(state, caseId, jaw));
  const opposing = useArchAccount(jaw === 'upper' ? 'lower' : 'upper')?.measures ?? null;
  const room = useMemo(() => asked && enamelRoom(asked), [asked]);
  if (ledger.differenceMm === null || !room)
    return (
      <div className="sheet">
        <section className="sheet__section" aria-label="Shortage">
          <p className="status__word">Not known yet</p>
          <p>
            The ways are set against what the account is short of. It is missing:{' '}
            {ledger.missing.join('; ') || 'a space account'}.
          </p>
        </section>
      </div>
    );
  const context: AlternativesContext = {
    jaw,
    shortageMm: -ledger.differenceMm,
    shortageSdMm: ledger.sdMm ?? 0,
    enamelMostMm: room.mostMm,
    measures,
    ledger,
  };
  const table = alternativesTable(context);
  const choices = choicesOf(drafts, jaw);
  const combination = combineAlternatives(choices, context);
  const costContext: CostContext = {
    jaw,
    shortageMm: context.shortageMm,
    enamelMm: room.enamelMm,
    widthSumsMm: widthSums(jaw, measures.teeth, opposing?.teeth ?? null),
  };
  return (
    <div className="sheet">
      <Shortage context={context} table={table} />
      <Chosen record={record} context={context} combination={combination} />
      <p className="sheet__note">
        In alphabetical order, which says nothing of merit. Which of them suits this patient is for the
        clinician to judge: face and lips, bite, bone and gum, growth, wishes. Amounts are those of the rule
        named with each; rules of one kind disagree by more than any SD.
      </p>
      {WAY_GROUPS.map((group) => (
        <WayCard
          key={group.id}
          group={group}
          rows={table.rows.filter(({ way }) => wayGroup(way) === group.id)}
          draft={drafts[group.id] ?? NO_DRAFT}
          chosen={
            combination.chosen.find(
              ({ choice }) => choice.way === wayOfDraft(drafts[group.id], group.id, jaw),
            ) ?? null
          }
          context={context}
          costContext={costContext}
          extraction={
            group.id === 'extraction' ? extractionSets(jaw, measures.teeth, context.shortageMm) : []
          }
          tick={
            <Checkbox
              className="tick"
              isSelected={drafts[group.id]?.on ?? false}
              onChange={(on) => changeDraft(caseId, jaw, group.id, { on })}
            >
              <span className="tick__box" aria-hidden="true" />
              {group.title}
            </Checkbox>
          }
          onChange={(change) => changeDraft(caseId, jaw, group.id, change)}
        />
      ))}
      {cautionsAt('measure').map((caution) => (
        <p key={caution.id} className="sheet__note">
          {unbroken(caution.text)}
        </p>
      ))}
    </div>
  );
}

type Teeth = ArchAccount['measures']['teeth'];

/** Sums of the twelve widths of each arch, first molar to first molar, where every one is known. */
function widthSums(jaw: ArchRecord['jaw'], own: Teeth, opposing: Teeth | null): CostContext['widthSumsMm'] {
  if (!opposing) return null;
  const sumOf = (teeth: Teeth): number | null => {
    const twelve = teeth.filter(({ tooth }) => tooth < 50 && tooth % 10 <= 6);
    return twelve.length === 12 ? twelve.reduce((sum, { widthMm }) => sum + widthMm, 0) : null;
  };
  const [mine, other] = [sumOf(own), sumOf(opposing)];
  if (mine === null || other === null) return null;
  return jaw === 'upper' ? { upper: mine, lower: other } : { upper: other, lower: mine };
}

function Shortage({ context, table }: { context: AlternativesContext; table: AlternativesTable }) {
  const { shortageMm, shortageSdMm, enamelMostMm } = context;
  const isShort = shortageMm > 0;
  return (
    <section className="sheet__section" aria-label="Shortage">
      <div className="balance">
        <span className="balance__word">{isShort ? 'Space shortage' : 'Space excess'}</span>
        <span className="balance__figure">
          {fixed(Math.abs(shortageMm))}
          <small> mm {sd(shortageSdMm)}</small>
        </span>
        <p className="balance__more num">
          {isShort
            ? `The limits of this arch let enamel reduction give ${mm(enamelMostMm, 1)}\u00a0mm at most; `
            : 'No enamel is to be taken for space. Ways that use space are shown by their negative amounts; '}
          {isShort &&
            (table.beyondEnamelMm > 0
              ? `${mm(table.beyondEnamelMm)}\u00a0mm lie beyond what enamel bears.`
              : 'the shortage lies within that.')}
          {!isShort && 'most rules work both ways.'}
        </p>
      </div>
      {table.givesBack.length > 0 && (
        <p className="sheet__note num">
          In the account by choice, and given back where left out:{' '}
          {table.givesBack.map(({ what, amountMm }) => `${what}, ${mm(amountMm)}\u00a0mm`).join('; ')}.
        </p>
      )}
    </section>
  );
}

/** The running total of what is ticked, against the shortage. */
function Chosen({
  record,
  context,
  combination,
}: {
  record: ArchRecord;
  context: AlternativesContext;
  combination: Combination;
}) {
  const { jaw } = record;
  const { chosen, totalMm, balanceMm, sdMm, balanceByRulesMm, chanceShort, cautions } = combination;
  const amounts = usePlannedAmounts(jaw);
  const taken = allowancesOf(chosen.map(({ choice }) => choice));
  const wanting = chosen.filter(({ missing }) => missing !== null);
  const takeOver = (): void => {
    sayingBalance(
      jaw,
      `${taken.length} ${taken.length === 1 ? 'way' : 'ways'} taken over into the account`,
      () => actions().setAllowances(jaw, [...record.allowances, ...taken]),
    );
    untickAll(jaw);
  };
  return (
    <>
      {chosen.length > 0 && (
        <div className="ways__bar">
          <span className="ways__left num">
            {balanceMm === null ? 'Sum not known' : leftWord(balanceMm)}
            {balanceMm !== null && (
              <>
                {' '}
                <b>{signed(balanceMm)}&nbsp;mm</b> <span className="soft">{sd(sdMm)}</span>
              </>
            )}
          </span>
          <TextButton
            small
            tone="strong"
            isDisabled={taken.length === 0 || wanting.length > 0}
            onPress={takeOver}
          >
            Take over into the account
          </TextButton>
        </div>
      )}
      <section className="sheet__section" aria-labelledby="ways-chosen">
        <div className="sheet__head">
          <h3 className="sheet__title" id="ways-chosen">
            Ticked ways together
          </h3>
          {chosen.length > 0 && (
            <TextButton small onPress={() => untickAll(jaw)}>
              Untick all
            </TextButton>
          )}
        </div>
        {chosen.length === 0 ? (
          <p className="sheet__note">
            Tick ways below and give each an amount: their sum stands here against the{' '}
            {mm(context.shortageMm)}&nbsp;mm.
          </p>
        ) : (
          <>
            <table className="account">
              <caption className="visually-hidden">Ticked ways against the shortage</caption>
              <tbody>
                <tr>
                  <th scope="row">{context.shortageMm > 0 ? 'Space shortage' : 'Space excess'}</th>
                  <td className="account__mm">{signed(-context.shortageMm)}</td>
                  <td className="account__sd">{sd(context.shortageSdMm)}</td>
                </tr>
                {chosen.map(({ choice, title, amountMm, sdMm: own, missing, beyond }) => (
                  <tr key={choice.way}>
                    <th scope="row">
                      {title}
                      {missing && (
                        <span className="account__standing account__missing">missing: {missing}</span>
                      )}
                      {beyond && <span className="account__standing ways__beyond">{beyond}</span>}
                    </th>
                    <td className="account__mm">{amountMm === null ? '–' : signed(amountMm)}</td>
                    <td className="account__sd">{own === null ? '' : own > 0 ? sd(own) : 'none'}</td>
                  </tr>
                ))}
              </tbody>
              <tfoot>
                <tr>
                  <th scope="row">{balanceMm === null ? 'Not known' : leftWord(balanceMm)}</th>
                  <td className="account__mm">{balanceMm === null ? '–' : signed(balanceMm)}</td>
                  <td className="account__sd">{sd(sdMm)}</td>
                </tr>
              </tfoot>
            </table>
            {balanceMm !== null && totalMm !== null && balanceByRulesMm && chanceShort !== null && (
              <p className="sheet__note num">
                Together {signed(totalMm)}&nbsp;mm. Chance that space is still wanting {percent(chanceShort)}.
                By the other rules of the same kinds the balance would lie between{' '}
                {signed(balanceByRulesMm[0])} and {signed(balanceByRulesMm[1])}&nbsp;mm.{' '}
                {severityWords(-balanceMm)}
              </p>
            )}
            {wanting.length > 0 && (
              <p className="sheet__note">The sum is known once every ticked way has its amount.</p>
            )}
            {cautions.length > 0 && (
              <ul className="remarks">
                {cautions.map((caution) => (
                  <li key={caution}>{caution}</li>
                ))}
              </ul>
            )}
            <p className="sheet__note">
              {taken.length > 0 &&
                'Taken over, they become allowances of the account, in one step that can be undone. '}
              {chosen.length > taken.length &&
                `Enamel reduction is no allowance: the plan takes what the account is short of${
                  amounts && amounts.plan.plannedMm > 0
                    ? `, now ${mm(amounts.plan.plannedMm, 1)}\u00a0mm`
                    : ''
                }.`}
            </p>
          </>
        )}
      </section>
    </>
  );
}

const leftWord = (balanceMm: number): string =>
  Math.abs(balanceMm) < 0.05 ? 'Even' : balanceMm < 0 ? 'Still short' : 'Space over';

/** What is left by the bands of each source. */
function severityWords(shortageMm: number): string {
  const grades = severityGrades(shortageMm);
  if (grades.length === 0) return '';
  const words = grades.map(
    ({ scale, grade }) => `${grade ?? 'between two bands'} (${scale.source.text.split(/[;,(]/)[0].trim()})`,
  );
  return `What is left, by the bands of each source: ${words.join('; ')}.`;
}
