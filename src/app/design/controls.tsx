import type { ReactElement, ReactNode } from 'react';
import {
  Button,
  type ButtonProps,
  Dialog,
  FieldError,
  Group,
  Heading,
  Input,
  Label,
  ListBox,
  ListBoxItem,
  Modal,
  ModalOverlay,
  NumberField,
  Popover,
  Select,
  SelectValue,
  Switch,
  Text,
  TextField,
  ToggleButton,
  ToggleButtonGroup,
  Tooltip,
  TooltipTrigger,
} from 'react-aria-components';
import { steady } from './steady.tsx';
import './touch.css';

type Tone = 'plain' | 'strong' | 'normal';

const buttonClass = (tone: Tone, icon: boolean, small: boolean): string =>
  ['button', tone !== 'normal' && `button_${tone}`, icon && 'button_icon', small && 'button_small']
    .filter(Boolean)
    .join(' ');

function TextButtonDrawn({
  tone = 'normal',
  small = false,
  ...props
}: ButtonProps & { tone?: Tone; small?: boolean }) {
  return <Button {...props} className={buttonClass(tone, false, small)} />;
}

export const TextButton = steady(TextButtonDrawn);

/** A button that is only an icon: its name is spoken and shown as a tooltip. */
function IconButtonDrawn({
  label,
  tone = 'plain',
  small = false,
  ...props
}: ButtonProps & { label: string; tone?: Tone; small?: boolean }) {
  return (
    <Tip text={label}>
      <Button {...props} aria-label={label} className={buttonClass(tone, true, small)} />
    </Tip>
  );
}

export const IconButton = steady(IconButtonDrawn);

export function Tip({ text, children }: { text: string; children: ReactElement }) {
  return (
    <TooltipTrigger delay={500} closeDelay={80}>
      {children}
      <Tooltip className="tooltip" offset={6}>
        {text}
      </Tooltip>
    </TooltipTrigger>
  );
}

export interface Choice<Id extends string> {
  readonly id: Id;
  readonly label: string;
  readonly note?: string;
  readonly disabled?: boolean;
}

/** A choice of few, all in view; exactly one is chosen. */
function SegmentsDrawn<Id extends string>({
  label,
  choices,
  value,
  onChange,
  small = false,
}: {
  label: string;
  choices: readonly Choice<Id>[];
  value: Id;
  onChange: (id: Id) => void;
  small?: boolean;
}) {
  return (
    <ToggleButtonGroup
      aria-label={label}
      className={small ? 'segments segments_small' : 'segments'}
      selectionMode="single"
      disallowEmptySelection
      selectedKeys={[value]}
      onSelectionChange={(keys) => {
        const [first] = [...keys];
        if (first !== undefined) onChange(first as Id);
      }}
    >
      {choices.map((choice) => (
        <ToggleButton
          key={choice.id}
          id={choice.id}
          className="segments__item"
          isDisabled={choice.disabled ?? false}
        >
          {choice.label}
        </ToggleButton>
      ))}
    </ToggleButtonGroup>
  );
}

export const Segments = steady(SegmentsDrawn) as typeof SegmentsDrawn;

function SelectFieldDrawn<Id extends string>({
  label,
  choices,
  value,
  onChange,
  labelHidden = false,
}: {
  label: string;
  choices: readonly Choice<Id>[];
  value: Id | null;
  onChange: (id: Id) => void;
  labelHidden?: boolean;
}) {
  return (
    <Select
      className="field"
      aria-label={labelHidden ? label : undefined}
      value={value}
      onChange={(key) => key !== null && onChange(key as Id)}
    >
      {!labelHidden && <Label className="field__label">{label}</Label>}
      <Button className="button select__button">
        <SelectValue className="select__value">
          {({ selectedText, defaultChildren }) => selectedText ?? defaultChildren}
        </SelectValue>
        <span aria-hidden="true">▾</span>
      </Button>
      <Popover className="popover" offset={2}>
        <ListBox>
          {choices.map((choice) => (
            <ListBoxItem
              key={choice.id}
              id={choice.id}
              textValue={choice.label}
              className="option"
              isDisabled={choice.disabled ?? false}
            >
              <Text slot="label">{choice.label}</Text>
              {choice.note && (
                <Text slot="description" className="option__note">
                  {choice.note}
                </Text>
              )}
            </ListBoxItem>
          ))}
        </ListBox>
      </Popover>
    </Select>
  );
}

export const SelectField = steady(SelectFieldDrawn) as typeof SelectFieldDrawn;

/** A number with its unit; `null` is an empty field. */
function NumberInputDrawn({
  label,
  value,
  onChange,
  unit = 'mm',
  step = 0.1,
  digits = 1,
  min,
  max,
  note,
  labelHidden = false,
  placeholder,
  width = '7.5rem',
  disabled = false,
}: {
  label: string;
  value: number | null;
  onChange: (value: number | null) => void;
  unit?: string;
  step?: number;
  digits?: number;
  min?: number;
  max?: number;
  note?: string;
  labelHidden?: boolean;
  placeholder?: string;
  width?: string;
  disabled?: boolean;
}) {
  return (
    <NumberField
      className="field"
      aria-label={labelHidden ? label : undefined}
      value={value ?? Number.NaN}
      onChange={(next) => onChange(Number.isFinite(next) ? next : null)}
      step={step}
      minValue={min}
      maxValue={max}
      isDisabled={disabled}
      formatOptions={{
        minimumFractionDigits: digits,
        maximumFractionDigits: Math.max(digits, 2),
        useGrouping: false, // a comma parts no thousands
      }}
    >
      {!labelHidden && <Label className="field__label">{label}</Label>}
      <Group className="field__row" style={{ width }}>
        <Input className="field__input field__input_number" placeholder={placeholder ?? ''} />
        {unit && (
          <span className="field__unit" aria-hidden="true">
            {unit}
          </span>
        )}
        <Button slot="decrement" className="field__step">
          −
        </Button>
        <Button slot="increment" className="field__step">
          +
        </Button>
      </Group>
      {note && (
        <Text slot="description" className="field__note">
          {note}
        </Text>
      )}
      <FieldError className="field__error" />
    </NumberField>
  );
}

export const NumberInput = steady(NumberInputDrawn);

function TextInputDrawn({
  label,
  value,
  onChange,
  placeholder,
  error,
  labelHidden = false,
}: {
  label: string;
  value: string;
  onChange: (value: string) => void;
  placeholder?: string;
  error?: string;
  labelHidden?: boolean;
}) {
  return (
    <TextField
      className="field"
      aria-label={labelHidden ? label : undefined}
      value={value}
      onChange={onChange}
      isInvalid={Boolean(error)}
    >
      {!labelHidden && <Label className="field__label">{label}</Label>}
      <Group className="field__row">
        <Input className="field__input" placeholder={placeholder ?? ''} />
      </Group>
      {error && <FieldError className="field__error">{error}</FieldError>}
    </TextField>
  );
}

export const TextInput = steady(TextInputDrawn);

function SwitchFieldDrawn({
  children,
  on,
  onChange,
}: {
  children: ReactNode;
  on: boolean;
  onChange: (on: boolean) => void;
}) {
  return (
    <Switch className="switch" isSelected={on} onChange={onChange}>
      <span className="switch__track" aria-hidden="true" />
      {children}
    </Switch>
  );
}

export const SwitchField = steady(SwitchFieldDrawn);

/** A dialog over the page; Escape and a click outside close it unless `mustAnswer`. */
export function DialogSheet({
  title,
  open,
  onClose,
  children,
  wide = false,
  mustAnswer = false,
  role = 'dialog',
}: {
  title: string;
  open: boolean;
  onClose: () => void;
  children: ReactNode;
  wide?: boolean;
  mustAnswer?: boolean;
  role?: 'dialog' | 'alertdialog';
}) {
  return (
    <ModalOverlay
      className="scrim"
      isOpen={open}
      isDismissable={!mustAnswer}
      onOpenChange={(isOpen) => !isOpen && onClose()}
    >
      <Modal className={wide ? 'modal modal_wide' : 'modal'}>
        <Dialog className="dialog" role={role}>
          <Heading slot="title" className="dialog__title">
            {title}
          </Heading>
          {children}
        </Dialog>
      </Modal>
    </ModalOverlay>
  );
}
