import type { Jaw } from '../../core/base/tooth.ts';
import type { BothAsked } from '../../core/casefile/bothAsked.ts';
import { BOTH_ORDER, bothReasons } from '../../core/reduction/bothReasons.ts';
import {
  type BandPercent,
  NORM_BAND_SDS,
  type RatioKind,
  TOGETHER_DEFAULTS,
  type TogetherSettings,
} from '../../core/reduction/ratioBands.ts';
import { toothSizeNorm } from '../../core/space/toothSizeNorms.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { useBothAsked, useBothPlans, usePlan } from '../account/usePlan.ts';
import { useRatios } from '../account/useRatios.ts';
import { NumberInput, Segments, SelectField } from '../design/controls.tsx';
import { jawName, sentence } from '../format.ts';
import { actions, useStore } from '../store.ts';
import { BandsTable } from './BandsTable.tsx';

const set = (change: Partial<TogetherSettings>): void => actions().setTogether(change);

/** Each arch by itself, or both together with their tooth-size ratios brought toward a band. */
export function TogetherSection({ jaw }: { jaw: Jaw }) {
  const together = useStore((state) => state.caseDocument.together) ?? TOGETHER_DEFAULTS;
  const opposing = useArchAccount(jaw === 'upper' ? 'lower' : 'upper');
  const asked = useBothAsked();
  return (
    <section className="sheet__section" aria-labelledby="both-arches">
      <h3 className="sheet__title" id="both-arches">
        Both arches
      </h3>
      <Segments
        label="How the arches are planned"
        small
        value={together.isOn ? 'together' : 'alone'}
        onChange={(id) => set({ isOn: id === 'together' })}
        choices={[
          { id: 'alone', label: 'Each by itself' },
          { id: 'together', label: 'Both together' },
        ]}
      />
      {!opposing ? (
        <p className="sheet__note">
          {together.isOn
            ? 'The opposing arch is not open: until it is, this arch is planned by itself.'
            : 'Planning both together weighs the tooth-size ratio. It needs the opposing arch as well.'}
        </p>
      ) : (
        together.isOn && (
          <>
            <p className="sheet__note">{BOTH_ORDER}</p>
            <BandChoice together={together} />
            {asked ? <Weighed asked={asked} /> : <NotAsked />}
            <ExtraChoice together={together} />
          </>
        )
      )}
    </section>
  );
}

function NotAsked() {
  const upper = useArchAccount('upper');
  const lower = useArchAccount('lower');
  const missing = [upper, lower].flatMap((account) =>
    account?.notAsked ? [`${jawName(account.jaw)}: ${account.notAsked.message.replace(/^\w+: /, '')}`] : [],
  );
  return (
    <div role="alert">
      {missing.map((text) => (
        <p key={text} className="sheet__note">
          {text}
        </p>
      ))}
    </div>
  );
}

const RATIO_LABELS: Readonly<Record<RatioKind, string>> = {
  anterior: 'Anterior, 3 to 3',
  overall: 'Overall, 6 to 6',
};

function BandChoice({ together }: { together: TogetherSettings }) {
  const norm = useStore((state) => toothSizeNorm(state.caseDocument.ratioNorm));
  const kinds: readonly RatioKind[] =
    together.ratios === 'both' ? ['anterior', 'overall'] : [together.ratios];
  return (
    <>
      <div className="settings settings_wide">
        <SelectField
          label="Ratio to be brought in"
          value={together.ratios}
          onChange={(ratios) => set({ ratios })}
          choices={[
            { id: 'anterior', label: RATIO_LABELS.anterior },
            { id: 'overall', label: RATIO_LABELS.overall },
            { id: 'both', label: 'Both ratios' },
          ]}
        />
        <SelectField
          label="Brought to"
          value={together.target}
          onChange={(target) => set({ target })}
          choices={[
            { id: 'norm-band', label: `Norm, mean ± ${NORM_BAND_SDS} SD` },
            { id: 'norm-mean', label: 'Middle of the norm' },
            { id: 'own', label: 'A band of your own' },
          ]}
        />
      </div>
      {together.target === 'own' ? (
        kinds.map((kind) => <OwnBand key={kind} kind={kind} together={together} />)
      ) : (
        <p className="sheet__note">
          Norm: {norm?.title ?? 'unknown'}; another can be chosen under Account. A band of ± {NORM_BAND_SDS}{' '}
          SD is our choice.
        </p>
      )}
    </>
  );
}

function OwnBand({ kind, together }: { kind: RatioKind; together: TogetherSettings }) {
  const norm = useStore((state) => toothSizeNorm(state.caseDocument.ratioNorm));
  const own = together.own[kind];
  const start = norm?.[kind]?.meanPercent ?? 90;
  const change = (part: Partial<BandPercent>): void => {
    const next = { ...(own ?? { lowPercent: start - 1, highPercent: start + 1 }), ...part };
    const band = {
      lowPercent: Math.min(next.lowPercent, part.highPercent ?? next.lowPercent),
      highPercent: Math.max(next.highPercent, part.lowPercent ?? next.highPercent),
    };
    set({ own: { ...together.own, [kind]: band } });
  };
  const input = (label: string, value: number | undefined, onChange: (percent: number) => void) => (
    <NumberInput
      label={`${RATIO_LABELS[kind].split(',')[0]} ratio, ${label}`}
      unit="%"
      digits={2}
      step={0.1}
      min={40}
      max={140}
      value={value ?? null}
      onChange={(percent) => percent !== null && onChange(percent)}
    />
  );
  return (
    <div className="settings settings_wide">
      {input('from', own?.lowPercent, (lowPercent) => change({ lowPercent }))}
      {input('to', own?.highPercent, (highPercent) => change({ highPercent }))}
    </div>
  );
}

/** Ratios before and after the plans against their bands, and what that comes to in words. */
function Weighed({ asked: { input, problems } }: { asked: BothAsked }) {
  const both = useBothPlans();
  const ratios = useRatios();
  const { refusal } = usePlan('upper');
  const current = both && both.asked.bands.length === input.bands.length ? both : null;
  return (
    <>
      {problems.map(({ field, text }) => (
        <p key={text} className="dock__say dock__say_strong" data-field={field}>
          {sentence(text)}
        </p>
      ))}
      {refusal && <p className="dock__say dock__say_strong">{refusal.message.replace(/^\w+: /, '')}</p>}
      {ratios && input.bands.length > 0 && <BandsTable bands={input.bands} ratios={ratios} />}
      {current && input.bands.length > 0 && (
        <p className="both__words" role="status">
          {bothReasons(current.plans, current.asked.bands).join(' ')}
        </p>
      )}
    </>
  );
}

function ExtraChoice({ together }: { together: TogetherSettings }) {
  const { extraMm } = together;
  const steps = useStore(({ caseDocument: { arches } }) => arches.upper?.plan.stepMm ?? 0.1);
  const input = (jaw: Jaw) => (
    <NumberInput
      label={`${jawName(jaw)}, at most`}
      digits={1}
      step={steps}
      min={0}
      max={5}
      value={extraMm[jaw]}
      onChange={(mm) => set({ extraMm: { ...extraMm, [jaw]: mm ?? 0 } })}
    />
  );
  return (
    <fieldset className="both__extra">
      <legend>Extra reduction for the ratio alone</legend>
      <div className="settings settings_wide">
        {input('upper')}
        {input('lower')}
      </div>
      <p className="sheet__note">
        0: none. What you allow is taken only as far as the band needs it, stays within every limit, and is
        held back until a re-measurement. It leaves space that has to be closed.
      </p>
    </fieldset>
  );
}
