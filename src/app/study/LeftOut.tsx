import { Checkbox } from 'react-aria-components';

/** Which of several readings or columns are compared all together; a tick taken away leaves one out. */
export function LeftOut<Id extends string | number>({
  label,
  choices,
  leftOut,
  onChange,
}: {
  label: string;
  choices: readonly { readonly id: Id; readonly label: string }[];
  leftOut: readonly Id[];
  onChange: (leftOut: readonly Id[]) => void;
}) {
  return (
    <fieldset className="study__ticks">
      <legend className="field__label">{label}</legend>
      {choices.map(({ id, label: name }) => (
        <Checkbox
          key={id}
          className="checked"
          isSelected={!leftOut.includes(id)}
          onChange={(on) => onChange(on ? leftOut.filter((other) => other !== id) : [...leftOut, id])}
        >
          <span className="checked__box" aria-hidden="true" />
          <span>{name}</span>
        </Checkbox>
      ))}
    </fieldset>
  );
}
