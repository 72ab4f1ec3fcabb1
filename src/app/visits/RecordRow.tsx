import { useState } from 'react';
import { Button, Group, Input, NumberField, ToggleButton } from 'react-aria-components';
import { type Contact, toothLabel } from '../../core/base/tooth.ts';
import type { CutEntry } from '../../core/visits/CutEntry.ts';
import { asEstimate, cutEstimate, GAUGE_STEP_MM } from '../../core/visits/cutEstimate.ts';
import { NumberInput, TextButton, TextInput } from '../design/controls.tsx';
import { contactLabel, fixed, mm, sd } from '../format.ts';
import { useStore } from '../store.ts';
import { measuredOf, type RecordWay, type RowDraft } from './recordDraft.ts';
import { entryInWords } from './visitWords.ts';

const LARGEST_MM = 2;

/** One contact at the chair: what is planned, a large stepper for what was found, and what that comes to. */
export function RecordRow({
  teeth,
  dueMm,
  heldBackMm,
  draft,
  way,
  standing,
  limitMm,
  surfacesMm,
  onChange,
}: {
  teeth: Contact;
  dueMm: number;
  heldBackMm: number;
  draft: RowDraft;
  way: RecordWay;
  standing: CutEntry | null;
  /** What the limits leave before this visit. */
  limitMm: number;
  surfacesMm: readonly [number, number];
  onChange: (change: Partial<RowDraft>) => void;
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  const [more, setMore] = useState(false);
  const label = contactLabel(teeth, notation);
  const how = measuredOf(draft, way);
  const found = how && how.by !== 'not-cut' ? asEstimate(cutEstimate(how)) : null;
  const warnings = found ? warningsOf(found.valueMm, dueMm, draft, limitMm, surfacesMm) : [];
  return (
    <Group className={how ? 'chairrow chairrow_touched' : 'chairrow'} aria-label={`Contact ${label}`}>
      <p className="chairrow__contact">
        <b>{label}</b>
        <small className="num">{dueMm > 0 ? `planned ${mm(dueMm, 1)}\u00a0mm` : 'nothing planned'}</small>
        {heldBackMm > 0 && (
          <small className="num">
            <span className="held">{fixed(heldBackMm, 1)}&nbsp;mm held back</span>
          </small>
        )}
      </p>
      <NumberField
        className="amount"
        aria-label={`${way === 'gauge' ? 'Gauge that passes' : 'Amount'} at ${label}, mm`}
        value={draft.notCut ? Number.NaN : (draft.amountMm ?? Number.NaN)}
        onChange={(value) => onChange({ amountMm: Number.isFinite(value) ? value : null, notCut: false })}
        step={way === 'caliper' ? 0.01 : GAUGE_STEP_MM}
        minValue={0}
        maxValue={LARGEST_MM}
        formatOptions={{ minimumFractionDigits: 1, maximumFractionDigits: 2, useGrouping: false }}
      >
        <Group className="amount__row">
          <Button slot="decrement" className="amount__step">
            −
          </Button>
          <Input className="amount__input" placeholder="–" />
          <Button slot="increment" className="amount__step">
            +
          </Button>
        </Group>
      </NumberField>
      {way === 'gauge' && (
        <ToggleButton
          className="button chairrow__toggle"
          isSelected={draft.stops}
          isDisabled={draft.amountMm === null || draft.notCut}
          onChange={(stops) => onChange({ stops })}
          aria-label={`The next gauge stops at ${label}`}
        >
          {draft.amountMm === null ? 'next stops' : `${fixed(draft.amountMm + GAUGE_STEP_MM, 1)} stops`}
        </ToggleButton>
      )}
      <TextButton
        isDisabled={dueMm <= 0}
        onPress={() => onChange({ amountMm: dueMm, notCut: false })}
        aria-label={`As planned at ${label}`}
      >
        As planned
      </TextButton>
      <ToggleButton
        className="button chairrow__toggle"
        isSelected={draft.notCut}
        onChange={(notCut) => onChange({ notCut, amountMm: null })}
        aria-label={`Not cut at ${label}`}
      >
        Not cut
      </ToggleButton>
      <ToggleButton
        className="button button_plain chairrow__toggle"
        isSelected={more}
        onChange={setMore}
        aria-label={`More about ${label}`}
      >
        More
      </ToggleButton>
      <p className="chairrow__found num" aria-live="polite">
        {found && (
          <span>
            <b>{fixed(found.valueMm)}</b> mm {sd(found.sdMm)}
          </span>
        )}
        {warnings.map((warning) => (
          <span key={warning} className="chairrow__warning">
            {warning}
          </span>
        ))}
        {standing && !how && <span className="soft">recorded: {entryInWords(standing)}</span>}
        {standing && how && <span className="soft">corrects: {entryInWords(standing)}</span>}
      </p>
      {more && (
        <div className="chairrow__more">
          {way === 'gauge' && (
            <NumberInput
              label="Passed before the cut"
              min={0}
              max={LARGEST_MM}
              value={draft.beforeMm}
              onChange={(beforeMm) => onChange({ beforeMm: beforeMm ?? 0 })}
            />
          )}
          <NumberInput
            label={`Taken from ${toothLabel(teeth[0], notation)}`}
            unit="%"
            digits={0}
            step={10}
            min={0}
            max={100}
            value={draft.firstPercent}
            note={`the rest from ${toothLabel(teeth[1], notation)}`}
            onChange={(firstPercent) => onChange({ firstPercent: firstPercent ?? 50 })}
          />
          <TextInput label="Note" value={draft.note} onChange={(note) => onChange({ note })} />
        </div>
      )}
    </Group>
  );
}

/** What should be looked at before it is recorded; it is recorded all the same, because it was done. */
function warningsOf(
  foundMm: number,
  dueMm: number,
  { firstPercent }: RowDraft,
  limitMm: number,
  surfacesMm: readonly [number, number],
): readonly string[] {
  const share = [firstPercent / 100, 1 - firstPercent / 100];
  const over = [foundMm - limitMm, ...surfacesMm.map((left, i) => foundMm * share[i] - left)];
  return [
    ...(foundMm - dueMm > 0.049 ? [`${fixed(foundMm - dueMm)}\u00a0mm more than planned`] : []),
    ...(over.some((excess) => excess > 0.005) ? ['beyond the enamel limit'] : []),
  ];
}
