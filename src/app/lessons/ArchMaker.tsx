import { useState } from 'react';
import { Label, Slider, SliderOutput, SliderThumb, SliderTrack } from 'react-aria-components';
import { Refusal } from '../../core/base/refusal.ts';
import { archOrder, type Jaw, positionOf, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import type { ArchRecipe } from '../../samples/ArchRecipe.ts';
import { recipeCode } from '../../samples/recipeCode.ts';
import { NumberInput, Segments, SelectField, TextButton } from '../design/controls.tsx';
import { fixed } from '../format.ts';
import { actions, useStore } from '../store.ts';

type Kind = 'usual' | 'mixed' | 'pegs' | 'spee';

interface Wishes {
  readonly jaw: Jaw;
  readonly kind: Kind;
  readonly number: number;
  readonly crowdingMm: number;
  readonly spacingMm: number;
  readonly turned: Tooth | null;
  readonly turnDeg: number;
  readonly missing: Tooth | null;
  readonly noiseUm: number;
}

const FIRST: Wishes = {
  jaw: 'lower',
  kind: 'usual',
  number: 1,
  crowdingMm: 3,
  spacingMm: 0,
  turned: null,
  turnDeg: 30,
  missing: null,
  noiseUm: 10,
};

function recipeOf(w: Wishes): ArchRecipe {
  const side = w.jaw === 'lower' ? [70, 80] : [50, 60];
  const second = w.jaw === 'lower' ? [37, 47] : [17, 27];
  return {
    jaw: w.jaw,
    seed: w.number,
    crowdingMm: w.crowdingMm,
    spacingMm: w.spacingMm,
    noiseMm: w.noiseUm / 1000,
    triangles: 80_000,
    ...(w.turned !== null && w.turnDeg !== 0 ? { rotationsDeg: { [w.turned]: w.turnDeg } } : {}),
    ...(w.missing === null ? {} : { missing: [{ tooth: w.missing, space: 'open' as const }] }),
    ...(w.kind === 'mixed' ? { primary: side.flatMap((s) => [s + 3, s + 4, s + 5]), unerupted: second } : {}),
    ...(w.kind === 'pegs' ? { pegs: second.map((t) => t - 5) } : {}),
    ...(w.kind === 'spee' ? { speeMm: 4.5 } : {}),
  };
}

function codeOf(wishes: Wishes): { code: string | null; fault: string | null } {
  try {
    return { code: recipeCode(recipeOf(wishes)), fault: null };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { code: null, fault: error.message.replace(/^\w+: /, '') };
  }
}

/** A teacher's sliders: an arch as wished, shared as a short code. */
export function ArchMaker({ inUse, onUse }: { inUse: string | null; onUse: (code: string) => void }) {
  const notation = useStore((state) => state.caseDocument.notation);
  const [wishes, setWishes] = useState(FIRST);
  const { code, fault } = codeOf(wishes);
  const set = (change: Partial<Wishes>): void => setWishes((before) => ({ ...before, ...change }));
  const teeth = archOrder(wishes.jaw).filter((tooth) => positionOf(tooth) <= 5);
  const choices = [
    { id: 'none', label: 'none' },
    ...teeth.map((tooth) => ({ id: String(tooth), label: toothLabel(tooth, notation) })),
  ];
  const tooth = (id: string): Tooth | null => (id === 'none' ? null : Number(id));
  return (
    <details className="maker">
      <summary>Make an arch for a class</summary>
      <div className="maker__row">
        <Segments<Jaw>
          label="Jaw of the arch made"
          small
          value={wishes.jaw}
          onChange={(jaw) => set({ jaw, turned: null, missing: null })}
          choices={[
            { id: 'upper', label: 'Upper' },
            { id: 'lower', label: 'Lower' },
          ]}
        />
        <Segments<Kind>
          label="Kind of arch"
          small
          value={wishes.kind}
          onChange={(kind) => set({ kind, missing: null })}
          choices={[
            { id: 'usual', label: 'Usual' },
            { id: 'mixed', label: 'Mixed dentition' },
            { id: 'pegs', label: 'Peg laterals' },
            { id: 'spee', label: 'Deep curve of Spee' },
          ]}
        />
      </div>
      <div className="maker__grid">
        <Amount
          label="Crowding"
          unit="mm"
          value={wishes.crowdingMm}
          most={6}
          step={0.1}
          onChange={(crowdingMm) => set({ crowdingMm })}
        />
        <Amount
          label="Spaces in front"
          unit="mm"
          value={wishes.spacingMm}
          most={6}
          step={0.1}
          onChange={(spacingMm) => set({ spacingMm })}
        />
        <div className="maker__pair">
          <SelectField
            label="Turned tooth"
            value={wishes.turned === null ? 'none' : String(wishes.turned)}
            onChange={(id) => set({ turned: tooth(id) })}
            choices={choices}
          />
          <Amount
            label="Turn"
            unit="°"
            value={wishes.turnDeg}
            disabled={wishes.turned === null}
            least={-50}
            most={50}
            step={1}
            onChange={(turnDeg) => set({ turnDeg })}
          />
        </div>
        <SelectField
          label="Missing tooth"
          value={wishes.missing === null ? 'none' : String(wishes.missing)}
          onChange={(id) => set({ missing: tooth(id) })}
          choices={wishes.kind === 'usual' ? choices : choices.slice(0, 1)}
        />
        <Amount
          label="Scanner noise"
          unit="µm"
          value={wishes.noiseUm}
          most={30}
          step={1}
          onChange={(noiseUm) => set({ noiseUm })}
        />
        <NumberInput
          label="Teeth of person"
          unit=""
          step={1}
          digits={0}
          min={0}
          max={999_999}
          value={wishes.number}
          onChange={(number) => set({ number: Math.round(number ?? 0) })}
          note="another number, other teeth"
        />
      </div>
      {fault && <p className="field__error">{fault}</p>}
      {code && (
        <p className="maker__code">
          <output aria-label="Code of this arch" className="maker__text">
            {code}
          </output>
          <TextButton
            small
            aria-label="Copy the code"
            onPress={() => {
              void navigator.clipboard?.writeText(code).then(() => actions().announce('Code copied.'));
            }}
          >
            Copy
          </TextButton>
          <TextButton small tone="strong" onPress={() => onUse(code)}>
            Use this arch
          </TextButton>
          <span className="soft" role="status">
            {inUse === code && 'In use for the lessons above.'}
          </span>
        </p>
      )}
      <p className="soft">
        The code is all that your students need: it makes the same arch, tooth for tooth, on their machines.
        Who knows how can read it (C30 is 3.0&nbsp;mm of crowding).
      </p>
    </details>
  );
}

function Amount({
  label,
  unit,
  value,
  onChange,
  least = 0,
  most,
  step,
  disabled = false,
}: {
  label: string;
  unit: string;
  value: number;
  onChange: (value: number) => void;
  least?: number;
  most: number;
  step: number;
  disabled?: boolean;
}) {
  return (
    <Slider
      className="maker__slider"
      minValue={least}
      maxValue={most}
      step={step}
      value={value}
      isDisabled={disabled}
      onChange={(next) => onChange(Number(next))}
    >
      <Label className="field__label">{label}</Label>
      <SliderOutput className="num">{`${fixed(value, step < 1 ? 1 : 0)}${unit === '°' ? '' : ' '}${unit}`}</SliderOutput>
      <SliderTrack className="slider__track maker__track">
        <SliderThumb className="slider__thumb" />
      </SliderTrack>
    </Slider>
  );
}
