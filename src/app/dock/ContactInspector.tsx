import { type Contact, siteFacing, toothLabel } from '../../core/base/tooth.ts';
import type { ArchRecord, ContactSettings } from '../../core/casefile/CaseDocument.ts';
import type { ContactMeasure } from '../../core/measure/ArchMeasures.ts';
import {
  DEFAULT_CONTACT_LIMIT_MM,
  DEFAULT_CONTACT_LIMIT_SOURCE,
  defaultSurfaceLimitMm,
  enamelThickness,
} from '../../core/reduction/enamel.ts';
import type { PlanContact } from '../../core/reduction/ReductionPlan.ts';
import type { ContactLimits } from '../../core/reduction/reductionRequest.ts';
import { NumberInput, SelectField, TextInput } from '../design/controls.tsx';
import { contactLabel, fixed, mm, sd } from '../format.ts';
import { ContactReasons } from '../plan/ContactReasons.tsx';
import { contactSettingsOf } from '../state/archEdits.ts';
import { actions, useStore } from '../store.ts';
import { DockFrame } from './DockFrame.tsx';

const LOCKS = [
  { id: 'none', label: 'Not locked' },
  { id: 'restoration', label: 'Restoration' },
  { id: 'implant', label: 'Implant' },
  { id: 'caries-risk', label: 'Caries risk' },
  { id: 'refused', label: 'Refused by the patient' },
  { id: 'other', label: 'Other reason' },
] as const;

type Side = 0 | 1;
const SIDES: readonly Side[] = [0, 1];

const pairWith = <T,>(pair: readonly [T, T], side: Side, value: T): readonly [T, T] =>
  side === 0 ? [value, pair[1]] : [pair[0], value];

/** Everything the user can say about one contact, beside what is measured and planned there. */
export function ContactInspector({
  record,
  teeth,
  measure,
  planned,
  limits,
  why,
}: {
  record: ArchRecord;
  teeth: Contact;
  measure: ContactMeasure | null;
  planned: PlanContact | null;
  limits: ContactLimits | null;
  why: string | null;
}) {
  const notation = useStore((state) => state.caseDocument.notation);
  const settings = contactSettingsOf(record, teeth);
  const change = (next: Partial<Omit<ContactSettings, 'teeth'>>): void =>
    actions().setContactSettings(record.jaw, teeth, next);
  const asksReason =
    limits?.reasonMissing === true ||
    settings.limitReason !== '' ||
    (settings.limitMm ?? 0) > DEFAULT_CONTACT_LIMIT_MM;
  const visits = record.plan.visits;
  return (
    <DockFrame title={`Contact ${contactLabel(teeth, notation)}`} sub={contactSub(planned, settings)}>
      <dl className="dock__facts">
        <Fact
          name={measure?.separation ? `separation, from the ${measure.separationFrom}` : 'separation'}
          value={measure?.separation?.valueMm}
          sdMm={measure?.separation?.sdMm}
        />
        {measure?.separationFrom === 'surface' && (
          <Fact name="along the arch" value={measure.alongArch?.valueMm} sdMm={measure.alongArch?.sdMm} />
        )}
        <Fact name="displacement" value={measure?.displacement?.valueMm} sdMm={measure?.displacement?.sdMm} />
        <div>
          <dt>planned</dt>
          <dd className="num">{planned ? `${mm(planned.totalMm, 1)}\u00a0mm` : '–'}</dd>
        </div>
        <div>
          <dt>of which held back</dt>
          <dd className="num">{planned ? `${mm(planned.heldBackMm, 1)}\u00a0mm` : '–'}</dd>
        </div>
      </dl>
      {planned && planned.totalMm > 0 && (
        <p className="dock__say">
          {SIDES.map(
            (side) =>
              `${toothLabel(teeth[side], notation)} ${siteFacing(teeth[side], teeth[1 - side])} ${mm(planned.surfacesMm[side])}\u00a0mm`,
          ).join(', ')}
          . {why}
        </p>
      )}
      {(!planned || planned.totalMm === 0) && why && <p className="dock__say">{why}</p>}
      <ContactReasons jaw={record.jaw} teeth={teeth} />
      {!limits && (
        <p className="dock__say">
          No reduction is planned here: the contact lies behind the first molars, or the gap is too wide.
        </p>
      )}
      <div className="dock__row">
        <SelectField
          label="Lock"
          choices={LOCKS}
          value={settings.lock ?? 'none'}
          onChange={(id) => change({ lock: id === 'none' ? null : id })}
        />
        <NumberInput
          label="Limit of the contact"
          min={0}
          max={2}
          step={record.plan.stepMm}
          value={settings.limitMm}
          placeholder={fixed(DEFAULT_CONTACT_LIMIT_MM, 1)}
          onChange={(limitMm) => change({ limitMm })}
        />
        <NumberInput
          label="Reachable from visit"
          unit=""
          digits={0}
          step={1}
          min={1}
          max={60}
          width="5.5rem"
          value={settings.reachableFromVisit}
          onChange={(visit) => change({ reachableFromVisit: visit ?? 1 })}
        />
      </div>
      {settings.reachableFromVisit > visits && (
        <p className="dock__say dock__say_strong">
          The plan has only {visits} visits: nothing is planned here.
        </p>
      )}
      {settings.limitMm === null && (
        <p className="dock__say">Default limit: {DEFAULT_CONTACT_LIMIT_SOURCE.text}.</p>
      )}
      {asksReason && (
        <TextInput
          label="Reason for a limit above the default (kept with the case)"
          value={settings.limitReason}
          onChange={(limitReason) => change({ limitReason })}
          error={limits?.reasonMissing ? 'Without a reason the default limit holds.' : undefined}
        />
      )}
      <table className="grid dock__limits">
        <thead>
          <tr>
            <th scope="col">Surface, mm</th>
            <th scope="col">enamel</th>
            <th scope="col">taken earlier</th>
            <th scope="col">limit</th>
          </tr>
        </thead>
        <tbody>
          {SIDES.map((side) => {
            const tooth = teeth[side];
            const surface = siteFacing(tooth, teeth[1 - side]);
            const enamel = enamelThickness(tooth, surface);
            const name = `${toothLabel(tooth, notation)} ${surface}`;
            const usual = defaultSurfaceLimitMm(tooth, surface, settings.earlierReductionMm[side]);
            return (
              <tr key={side}>
                <th scope="row">{name}</th>
                <td
                  title={enamel ? `${enamel.source.text}${enamel.note ? `. ${enamel.note}` : ''}` : undefined}
                >
                  {enamel ? `${mm(enamel.meanMm)} ${sd(enamel.sdMm)}` : '–'}
                </td>
                <td>
                  <NumberInput
                    label={`Taken earlier, ${name}, mm`}
                    unit=""
                    step={0.05}
                    digits={2}
                    labelHidden
                    min={0}
                    max={2}
                    width="5rem"
                    value={settings.earlierReductionMm[side]}
                    onChange={(value) =>
                      change({ earlierReductionMm: pairWith(settings.earlierReductionMm, side, value ?? 0) })
                    }
                  />
                </td>
                <td>
                  <NumberInput
                    label={`Limit, ${name}, mm`}
                    unit=""
                    labelHidden
                    min={0}
                    max={2}
                    width="5rem"
                    step={0.05}
                    digits={2}
                    value={settings.surfaceLimitsMm[side]}
                    placeholder={fixed(usual)}
                    onChange={(value) =>
                      change({ surfaceLimitsMm: pairWith(settings.surfaceLimitsMm, side, value) })
                    }
                  />
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
      <EnamelSources teeth={teeth} />
    </DockFrame>
  );
}

function contactSub(planned: PlanContact | null, settings: ContactSettings): string {
  if (settings.lock) return 'locked';
  if (!planned) return '';
  if (planned.totalMm === 0) return 'nothing planned';
  return planned.heldBackMm > 0
    ? `${mm(planned.totalMm, 1)}\u00a0mm planned, ${mm(planned.heldBackMm, 1)} held back`
    : `${mm(planned.totalMm, 1)}\u00a0mm planned`;
}

function Fact({ name, value, sdMm }: { name: string; value?: number; sdMm?: number }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd className="num">
        {value === undefined ? '–' : `${mm(value)}\u00a0mm`} <small>{sd(sdMm)}</small>
      </dd>
    </div>
  );
}

function EnamelSources({ teeth }: { teeth: Contact }) {
  const texts = SIDES.map((side) => enamelThickness(teeth[side], siteFacing(teeth[side], teeth[1 - side])))
    .filter((enamel) => enamel !== null)
    .map((enamel) => `${enamel.source.text}${enamel.note ? ` (${enamel.note})` : ''}`);
  return (
    <p className="dock__say">
      Unless you enter a limit, half of the published mean enamel thickness, less what was taken earlier.{' '}
      {[...new Set(texts)].join('; ')}. Individuals differ: look at the radiograph.
    </p>
  );
}
