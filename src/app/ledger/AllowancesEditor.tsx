import { Button, Menu, MenuItem, MenuTrigger, Popover } from 'react-aria-components';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import { ALLOWANCE_TITLES, allowanceAmount } from '../../core/space/allowanceAmount.ts';
import { allowanceRule, allowanceRulesOf, type RuleInput } from '../../core/space/allowanceRules.ts';
import type { Allowance, AllowanceKind } from '../../core/space/Ledger.ts';
import { IconButton, NumberInput, SelectField } from '../design/controls.tsx';
import { CloseIcon } from '../design/icons.tsx';
import { fixed, STANDING_WORDS, sd, sentence, signed } from '../format.ts';
import { actions } from '../store.ts';

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

const DEG = Math.PI / 180;

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
  const choices = [
    ...allowanceRulesOf(allowance.kind).map((r) => ({
      id: r.id,
      label: r.title,
      note: STANDING_WORDS[r.source.standing],
    })),
    { id: OWN, label: 'Your own figure', note: 'entered by you' },
  ];
  return (
    <div className="allowance">
      <div className="allowance__head">
        <span>{ALLOWANCE_TITLES[allowance.kind]}</span>
        <span className="num">
          {amount.amountMm === null ? '–' : `${signed(amount.amountMm)} mm`}{' '}
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
      <SelectField
        label="Rule"
        labelHidden
        choices={choices}
        value={allowance.rule}
        onChange={(id) => onChange({ ...allowance, rule: id })}
      />
      <div className="allowance__inputs">
        {rule?.inputs.map((input) => (
          <RuleInputField
            key={input.name}
            input={input}
            allowance={allowance}
            measures={measures}
            onChange={onChange}
          />
        ))}
        {allowance.rule === OWN && (
          <>
            <NumberInput
              label="Adds space (+) or needs it (−)"
              step={0.01}
              digits={2}
              value={allowance.ownMm ?? null}
              onChange={(ownMm) => onChange(withOwn(allowance, { ownMm }))}
            />
            <NumberInput
              label="SD"
              step={0.01}
              digits={2}
              min={0}
              value={allowance.ownSdMm ?? null}
              onChange={(ownSdMm) => onChange(withOwn(allowance, { ownSdMm }))}
            />
          </>
        )}
      </div>
      {amount.missing && <p className="account__missing">missing: {amount.missing}</p>}
      <p className="sheet__note">
        {sentence(`${STANDING_WORDS[amount.source.standing]}: ${amount.source.text}`)}
        {amount.note && ` ${sentence(amount.note)}`}
      </p>
    </div>
  );
}

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

function RuleInputField({
  input,
  allowance,
  measures,
  onChange,
}: {
  input: RuleInput;
  allowance: Allowance;
  measures: ArchMeasures;
  onChange: (next: Allowance) => void;
}) {
  const perUnit = input.unit === 'rad' ? DEG : 1;
  const typed = Object.hasOwn(allowance.inputs, input.name) ? allowance.inputs[input.name] : null;
  const measured = input.measured ? measures[input.measured] : null;
  const { [input.name]: _, ...others } = allowance.inputs;
  return (
    <NumberInput
      label={input.what}
      unit={input.unit === 'rad' ? '°' : 'mm'}
      step={input.unit === 'rad' ? 0.5 : 0.05}
      digits={input.unit === 'rad' ? 0 : 1}
      value={typed === null ? null : typed / perUnit}
      placeholder={measured ? fixed(measured.valueMm) : ''}
      note={measured && typed === null ? 'measured' : undefined}
      onChange={(value) =>
        onChange({
          ...allowance,
          inputs: value === null ? others : { ...others, [input.name]: value * perUnit },
        })
      }
    />
  );
}
