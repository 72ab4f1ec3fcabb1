import { Button, Menu, MenuItem, MenuTrigger, Popover } from 'react-aria-components';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import { ALLOWANCE_TITLES, allowanceAmount, rulesSideBySide } from '../../core/space/allowanceAmount.ts';
import { allowanceRule, allowanceRulesOf } from '../../core/space/allowanceRules.ts';
import type { Allowance, AllowanceKind } from '../../core/space/Ledger.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { IconButton, NumberInput } from '../design/controls.tsx';
import { CloseIcon } from '../design/icons.tsx';
import { fixed, STANDING_WORDS, sd, sentence, signed } from '../format.ts';
import { actions } from '../store.ts';
import { sayingBalance } from './balanceChange.ts';
import { ChoiceTable } from './ChoiceTable.tsx';
import { RuleInputField } from './RuleInputField.tsx';
import { ruleName } from './ruleName.ts';

const KINDS = Object.keys(ALLOWANCE_TITLES) as readonly AllowanceKind[];
const OWN = 'own';

const firstOf = (kind: AllowanceKind): Allowance => {
  const [rule] = allowanceRulesOf(kind);
  return rule ? { kind, rule: rule.id, inputs: {} } : { kind, rule: OWN, inputs: {} };
};

/** Allowances chosen for this arch; none is there unasked. */
export function AllowancesEditor({ record, measures }: { record: ArchRecord; measures: ArchMeasures }) {
  const { allowances, jaw } = record;
  const replace = (index: number, next: Allowance | null): void =>
    actions().setAllowances(
      jaw,
      allowances.flatMap((old, i) => (i !== index ? [old] : next ? [next] : [])),
    );
  return (
    <section className="sheet__section" aria-labelledby="allowances">
      <div className="sheet__head">
        <h3 className="sheet__title" id="allowances">
          Allowances
        </h3>
        <MenuTrigger>
          <Button className="button button_small">Add…</Button>
          <Popover className="popover" placement="bottom end">
            <Menu
              aria-label="Kind of allowance"
              onAction={(key) => actions().setAllowances(jaw, [...allowances, firstOf(key as AllowanceKind)])}
            >
              {KINDS.map((kind) => (
                <MenuItem key={kind} id={kind} className="option">
                  {ALLOWANCE_TITLES[kind]}
                </MenuItem>
              ))}
            </Menu>
          </Popover>
        </MenuTrigger>
      </div>
      {allowances.length === 0 && (
        <p className="sheet__note">
          None. Levelling, tooth movements or arch width change the balance only when you add them here.
        </p>
      )}
      {allowances.map((allowance, i) => (
        <AllowanceCard
          key={`${allowance.kind}-${i}`}
          allowance={allowance}
          record={record}
          measures={measures}
          onChange={(next) => replace(i, next)}
        />
      ))}
    </section>
  );
}

const STEPS = { mm: 0.05, rad: 0.5 };

function AllowanceCard({
  allowance,
  record,
  measures,
  onChange,
}: {
  allowance: Allowance;
  record: ArchRecord;
  measures: ArchMeasures;
  onChange: (next: Allowance | null) => void;
}) {
  const amount = allowanceAmount(allowance, record.jaw, measures);
  const rule = allowanceRule(allowance.rule);
  return (
    <div className="allowance">
      <div className="allowance__head">
        <span>{ALLOWANCE_TITLES[allowance.kind]}</span>
        <span className="num">
          {amount.amountMm === null ? '–' : `${signed(amount.amountMm)}\u00a0mm`}{' '}
          <span className="soft">{sd(amount.sdMm)}</span>
        </span>
        <IconButton
          small
          label={`Remove: ${ALLOWANCE_TITLES[allowance.kind]}`}
          onPress={() => onChange(null)}
        >
          <CloseIcon />
        </IconButton>
      </div>
      <div className="allowance__inputs">
        {rule?.inputs.map((input) => (
          <RuleInputField
            key={input.name}
            input={input}
            inputs={allowance.inputs}
            measures={measures}
            steps={STEPS}
            onChange={(inputs) => onChange({ ...allowance, inputs })}
          />
        ))}
        {allowance.rule === OWN && (
          <NumberInput
            label="Adds space (+) or needs it (−)"
            step={0.01}
            digits={2}
            value={allowance.ownMm ?? null}
            onChange={(ownMm) => onChange(withOwn(allowance, { ownMm }))}
          />
        )}
        <NumberInput
          label={allowance.rule === OWN ? 'SD' : 'your SD for it'}
          step={0.01}
          digits={2}
          min={0}
          value={allowance.ownSdMm ?? null}
          placeholder={allowance.rule === OWN ? '' : fixed(amount.sdMm ?? 0)}
          note={allowance.rule === OWN ? undefined : 'no rule prints one'}
          onChange={(ownSdMm) => onChange(withOwn(allowance, { ownSdMm }))}
        />
      </div>
      {amount.missing && <p className="account__missing">missing: {amount.missing}</p>}
      <RulesTable allowance={allowance} record={record} measures={measures} onChange={onChange} />
      <p className="sheet__note">
        {sentence(`${STANDING_WORDS[amount.source.standing]}: ${amount.source.text}`)}
        {amount.note && ` ${sentence(amount.note)}`}
      </p>
    </div>
  );
}

/** Every rule of the kind with what it gives now and the balance it would lead to; the user's own figure last. */
function RulesTable({
  allowance,
  record,
  measures,
  onChange,
}: {
  allowance: Allowance;
  record: ArchRecord;
  measures: ArchMeasures;
  onChange: (next: Allowance) => void;
}) {
  const balanceMm = useArchAccount(record.jaw)?.ledger.differenceMm ?? null;
  const rules = rulesSideBySide(allowance, record.jaw, measures);
  const own = allowanceAmount({ ...allowance, rule: OWN }, record.jaw, measures);
  const now = allowanceAmount(allowance, record.jaw, measures).amountMm;
  const rowOf = (
    id: string,
    title: string,
    standing: string,
    amountMm: number | null,
    missing: string | null,
  ) => {
    const then = balanceMm === null || amountMm === null || now === null ? null : balanceMm - now + amountMm;
    return {
      id,
      title,
      note: missing ? `${standing}; needs ${missing}` : standing,
      spoken: [
        amountMm === null ? `needs ${missing}` : `gives ${signed(amountMm)}\u00a0mm`,
        ...(then === null ? [] : [`balance ${signed(then)}\u00a0mm`]),
      ].join(', '),
      cells: [amountMm === null ? '–' : signed(amountMm), then === null ? '–' : signed(then)],
    };
  };
  return (
    <ChoiceTable
      label={`Rule for ${ALLOWANCE_TITLES[allowance.kind]}`}
      heads={['Rule', 'gives, mm', 'balance']}
      value={allowance.rule}
      onChange={(id) => sayingBalance(record.jaw, nameOf(id), () => onChange({ ...allowance, rule: id }))}
      rows={[
        ...rules.map(({ rule, amountMm, missing }) =>
          rowOf(rule.id, ruleName(rule), STANDING_WORDS[rule.source.standing], amountMm, missing),
        ),
        rowOf(
          OWN,
          'Your own figure',
          'entered by you',
          own.amountMm,
          own.amountMm === null ? 'a figure' : null,
        ),
      ]}
    />
  );
}

const nameOf = (id: string): string => {
  const rule = allowanceRule(id);
  return rule ? rule.title.replace(/:.*/, '') : 'Your own figure';
};

/** Own figures set or cleared; a cleared one leaves the document. */
function withOwn(
  allowance: Allowance,
  change: { readonly ownMm?: number | null; readonly ownSdMm?: number | null },
): Allowance {
  const { ownMm, ownSdMm, ...rest } = { ...allowance, ...change };
  return {
    ...rest,
    ...(ownMm === null || ownMm === undefined ? {} : { ownMm }),
    ...(ownSdMm === null || ownSdMm === undefined ? {} : { ownSdMm }),
  };
}
