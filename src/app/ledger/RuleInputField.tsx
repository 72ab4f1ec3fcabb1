import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import type { RuleInput } from '../../core/space/allowanceRules.ts';
import { NumberInput } from '../design/controls.tsx';
import { fixed } from '../format.ts';

const DEG = Math.PI / 180;

type Inputs = Readonly<Record<string, number>>;

/** One figure a rule asks for; empty, the measured one counts where there is one. Angles are typed in degrees. */
export function RuleInputField({
  input,
  inputs,
  measures,
  steps,
  onChange,
}: {
  input: RuleInput;
  inputs: Inputs;
  measures: ArchMeasures | null;
  steps: Readonly<Record<RuleInput['unit'], number>>; // of the field, in mm and degrees
  onChange: (inputs: Inputs) => void;
}) {
  const isAngle = input.unit === 'rad';
  const perUnit = isAngle ? DEG : 1;
  const typed = Object.hasOwn(inputs, input.name) ? inputs[input.name] : null;
  const measured = input.measured && measures ? measures[input.measured] : null;
  const { [input.name]: _, ...others } = inputs;
  return (
    <NumberInput
      label={input.what}
      unit={isAngle ? '°' : 'mm'}
      step={steps[input.unit]}
      digits={isAngle ? 0 : 1}
      value={typed === null ? null : typed / perUnit}
      placeholder={measured ? fixed(measured.valueMm) : ''}
      note={measured && typed === null ? 'measured' : undefined}
      onChange={(value) => onChange(value === null ? others : { ...others, [input.name]: value * perUnit })}
    />
  );
}
