import type { ReactNode } from 'react';
import { Button } from 'react-aria-components';
import { toothLabel } from '../../core/base/tooth.ts';
import { allowanceRule, ruleInputs } from '../../core/space/allowanceRules.ts';
import type {
  AlternativeRow,
  AlternativesContext,
  ChosenAlternative,
  ExtractionSet,
} from '../../core/space/alternatives.ts';
import type { AlternativeWay, Cost, WayGroup } from '../../core/space/alternativeWays.ts';
import { type CostContext, costsInNumbers } from '../../core/space/costsInNumbers.ts';
import { NumberInput } from '../design/controls.tsx';
import { fixed, mm, STANDING_WORDS, sd, sentence, signed } from '../format.ts';
import { ChoiceTable } from '../ledger/ChoiceTable.tsx';
import { RuleInputField } from '../ledger/RuleInputField.tsx';
import { ruleName } from '../ledger/ruleName.ts';
import { useStore } from '../store.ts';
import type { WayDraft } from './waysStore.ts';

const STEPS = { mm: 0.1, rad: 1 };

/** One kind of way: its rules side by side, the amount considered, and what it costs. */
export function WayCard({
  group,
  rows,
  draft,
  chosen,
  context,
  costContext,
  extraction,
  tick,
  onChange,
}: {
  group: { readonly id: WayGroup; readonly title: string };
  rows: readonly AlternativeRow[];
  draft: WayDraft;
  chosen: ChosenAlternative | null; // while it is ticked
  context: AlternativesContext;
  costContext: CostContext;
  extraction: readonly ExtractionSet[];
  tick: ReactNode;
  onChange: (change: Partial<WayDraft>) => void;
}) {
  const { way } = rows.find((row) => row.way.id === draft.way) ?? rows[0];
  const amountMm = chosen?.amountMm ?? null;
  const numbers =
    amountMm === null ? [] : costsInNumbers(way, inputsOf(way, draft, context), amountMm, costContext);
  return (
    <section className={draft.on ? 'way way_on' : 'way'} aria-label={group.title}>
      <div className="way__head">
        <h3 className="way__title">{tick}</h3>
        <span className="num way__amount">
          {draft.on && (amountMm === null ? '–' : `${signed(amountMm)}\u00a0mm`)}
          {chosen?.sdMm ? <span className="soft"> {sd(chosen.sdMm)}</span> : null}
        </span>
      </div>
      {draft.on && (
        <div className="allowance__inputs">
          {way.inputs.map((input) => (
            <RuleInputField
              key={input.name}
              input={input}
              inputs={draft.inputs}
              measures={context.measures ?? null}
              steps={STEPS}
              onChange={(inputs) => onChange({ inputs })}
            />
          ))}
          <NumberInput
            label="your SD for it"
            step={0.05}
            digits={2}
            min={0}
            value={draft.sdMm}
            note="no rule prints one"
            onChange={(sdMm) => onChange({ sdMm })}
          />
        </div>
      )}
      {chosen?.missing && <p className="account__missing">missing: {chosen.missing}</p>}
      {chosen?.beyond && <p className="ways__beyond">{sentence(chosen.beyond)}</p>}
      {extraction.length > 0 && draft.on && (
        <ExtractionSets sets={extraction} draft={draft} onChange={onChange} />
      )}
      <RulesOfGroup
        group={group}
        rows={rows}
        way={way}
        context={context}
        onRule={(id) => onChange({ way: id })}
      />
      <Costs words={way.costs} numbers={numbers} />
      <p className="sheet__note">
        {sentence(`${STANDING_WORDS[way.source.standing]}: ${way.source.text}`)}
        {way.note && ` ${sentence(way.note)}`}
        {way.ceiling && ` Not above ${way.ceiling.mostMm}\u00a0mm of space by ${way.ceiling.source.text}.`}
      </p>
    </section>
  );
}

/** The inputs of a way as they count: typed, else measured where the rule takes a measure. */
function inputsOf(
  way: AlternativeWay,
  draft: WayDraft,
  context: AlternativesContext,
): Readonly<Record<string, number>> {
  const rule = allowanceRule(way.id);
  if (!rule) return draft.inputs;
  const { values } = ruleInputs(rule, draft.inputs, context.measures ?? null);
  return Object.fromEntries(Object.entries(values).map(([name, { value }]) => [name, value]));
}

/** Every rule of the group: what a unit gives, and how much of it the shortage would take. */
function RulesOfGroup({
  group,
  rows,
  way,
  context,
  onRule,
}: {
  group: { readonly title: string };
  rows: readonly AlternativeRow[];
  way: AlternativeWay;
  context: AlternativesContext;
  onRule: (id: string) => void;
}) {
  const beyondMm = Math.max(0, context.shortageMm - context.enamelMostMm);
  const ofMm = beyondMm > 0 ? beyondMm : context.shortageMm;
  return (
    <ChoiceTable
      label={`Rule for ${group.title}`}
      heads={[
        'Rule and unit',
        'gives, mm',
        ofMm >= 0 ? `for ${fixed(ofMm, 1)}\u00a0mm` : `uses ${fixed(-ofMm, 1)}\u00a0mm`,
      ]}
      figureRem={[5.9, 4]}
      value={way.id}
      onChange={onRule}
      rows={rows.map((row) => ({
        id: row.way.id,
        title: row.way.id === 'reduction' ? 'Mm for mm' : ruleName(row.way),
        note: STANDING_WORDS[row.way.source.standing],
        spoken: row.units
          .map(
            ({ words, amountMm }) =>
              `${words} gives ${signed(amountMm)}\u00a0mm${needWords(row.way, amountMm, ofMm)}`,
          )
          .join('; '),
        cells: [
          row.units.map(({ words, amountMm }) => (
            <span key={words} className="way__unit">
              {signed(amountMm)}
              <small className="choices__note">{unitShort(words)}</small>
            </span>
          )),
          row.units.map(({ words, amountMm }) => (
            <span key={words} className="way__unit">
              {needed(row.way, amountMm, ofMm)}
              <small className="choices__note" aria-hidden="true">
                &nbsp;
              </small>
            </span>
          )),
        ],
      }))}
    />
  );
}

/** How often the unit would be needed; a curve that is no straight line, and what would call for cutting, give none. */
function needed(way: AlternativeWay, amountMm: number, ofMm: number): string {
  if (way.kind === 'spee' || amountMm === 0) return '–';
  if (way.id === 'reduction') return ofMm > 0 ? `${fixed(ofMm, 1)}\u00a0mm` : '–';
  const times = ofMm / amountMm;
  const isAngle = way.inputs[0]?.unit === 'rad';
  return isAngle ? `${fixed(5 * times, 0)}°` : `${fixed(times, 1)}\u00a0mm`;
}

const needWords = (way: AlternativeWay, amountMm: number, ofMm: number): string => {
  const text = needed(way, amountMm, ofMm);
  if (text === '–') return '';
  return ofMm >= 0 ? `, ${text} for ${fixed(ofMm, 1)}\u00a0mm` : `, ${text} use ${fixed(-ofMm, 1)}\u00a0mm`;
};

const UNIT_SHORT: readonly (readonly [RegExp, string])[] = [
  [/between the first molars/, 'per mm, molars'],
  [/between the canines/, 'per mm, canines'],
  [/between the first premolars/, 'per mm, premolars'],
  [/proclination/, 'per 5°'],
  [/incisors 1 mm forward/, 'per mm forward'],
  [/right first molar/, 'per mm, right'],
  [/left first molar/, 'per mm, left'],
  [/taken out/, 'per mm out'],
  [/lost to molars/, 'per mm lost'],
  [/build-up/, 'per mm added'],
  [/levelling/, 'at 2 mm depth'],
  [/one contact/, 'a tenth'],
];

const unitShort = (words: string): string => UNIT_SHORT.find(([form]) => form.test(words))?.[1] ?? words;

/** Sets of teeth with their widths; a click enters one. */
function ExtractionSets({
  sets,
  draft,
  onChange,
}: {
  sets: readonly ExtractionSet[];
  draft: WayDraft;
  onChange: (change: Partial<WayDraft>) => void;
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  return (
    <table className="grid num">
      <caption className="grid__caption">Widths at hand</caption>
      <thead>
        <tr>
          <th scope="col">Teeth</th>
          <th scope="col">width, mm</th>
          <th scope="col">beyond the shortage</th>
        </tr>
      </thead>
      <tbody>
        {sets.map((set) => {
          const name = set.teeth.map((tooth) => toothLabel(tooth, notation)).join(', ');
          return (
            <tr key={name}>
              <th scope="row">
                <Button
                  className="button button_plain button_small"
                  aria-label={`Enter the widths of ${name}`}
                  onPress={() =>
                    onChange({
                      way: 'extraction',
                      inputs: {
                        ...draft.inputs,
                        widthRemovedMm: Math.round(set.widthMm * 100) / 100,
                      },
                      sdMm: Math.round(set.sdMm * 100) / 100,
                    })
                  }
                >
                  {name}
                </Button>
              </th>
              <td>
                {mm(set.widthMm)} {sd(set.sdMm)}
              </td>
              <td>{signed(set.leftOverMm)}</td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

/** What it costs: in numbers for the amount considered, and in words. */
function Costs({ words, numbers }: { words: readonly Cost[]; numbers: readonly Cost[] }) {
  return (
    <div className="way__costs">
      <h4>What it costs</h4>
      <ul>
        {numbers.map(({ text, source }) => (
          <li key={text} className="way__number num">
            {sentence(text)} <small>{sourceWords(source)}</small>
          </li>
        ))}
        {words.map(({ text, source }) => (
          <li key={text}>
            {text} <small>{sourceWords(source)}</small>
          </li>
        ))}
      </ul>
    </div>
  );
}

const sourceWords = ({ standing, text }: Cost['source']): string =>
  standing === 'practice' ? text : `${STANDING_WORDS[standing]}: ${text}`;
