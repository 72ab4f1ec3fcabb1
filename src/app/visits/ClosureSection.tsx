import { Checkbox } from 'react-aria-components';
import type { Contact } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { VisitAccount } from '../../core/casefile/visitAccount.ts';
import {
  CLOSURE_DEFAULTS,
  type ClosurePlan,
  INCISOR_SOURCE,
  OVER_CORRECTION_SOURCE,
} from '../../core/visits/closurePlan.ts';
import { NumberInput } from '../design/controls.tsx';
import { contactLabel, fixed, percent, STANDING_WORDS, sd, sentence, signed } from '../format.ts';
import { actions, useStore } from '../store.ts';
import { RatioLine } from './RatioLine.tsx';
import { withClosure } from './visitEdits.ts';

/** Where the space in excess is closed, by how much at each contact, and what that does elsewhere. */
export function ClosureSection({ record, account }: { record: ArchRecord; account: VisitAccount }) {
  const { closure, spaces } = account;
  const settings = record.closure ?? CLOSURE_DEFAULTS;
  const notation = useStore((state) => state.caseDocument.notation);
  const open = spaces.filter(({ separation }) => separation !== null && separation.valueMm > 0);
  const isChosen = (teeth: Contact): boolean =>
    settings.contacts === null || settings.contacts.some((c) => c.join() === teeth.join());
  const toggle = (teeth: Contact, on: boolean): void => {
    const now = open.map((space) => space.teeth).filter(isChosen);
    const contacts = on ? [...now, teeth] : now.filter((c) => c.join() !== teeth.join());
    const isAll = open.every((space) => contacts.some((c) => c.join() === space.teeth.join()));
    actions().editVisits(record.jaw, (before) =>
      withClosure(before, { ...settings, contacts: isAll ? null : contacts }),
    );
  };
  return (
    <section className="sheet__section" aria-labelledby="closing">
      <div className="sheet__head">
        <h3 className="sheet__title" id="closing">
          Closing the space
        </h3>
        <span className="sheet__note">
          {account.spacesFrom === 'follow-up' ? 'as open on the follow-up scan' : 'as open on the first scan'}
        </span>
      </div>
      <NumberInput
        label="Over-correction, whole arch"
        digits={2}
        step={0.05}
        min={0}
        max={1}
        value={settings.overCorrectionMm}
        note={`${STANDING_WORDS[OVER_CORRECTION_SOURCE.standing]}; 0.1 to 0.2 mm is usual`}
        onChange={(value) =>
          value !== null &&
          actions().editVisits(record.jaw, (before) =>
            withClosure(before, { ...settings, overCorrectionMm: value }),
          )
        }
      />
      {open.length === 0 ? (
        <p className="sheet__note">No contact is open on the scan seen last.</p>
      ) : (
        <table className="grid num">
          <thead>
            <tr>
              <th scope="col">Close at</th>
              <th scope="col">open</th>
              <th scope="col">close</th>
              <th scope="col">then</th>
            </tr>
          </thead>
          <tbody>
            {open.map(({ teeth, separation }) => {
              const share = closure.shares.find((s) => s.teeth.join() === teeth.join());
              return (
                <tr key={teeth.join('-')}>
                  <th scope="row">
                    <Checkbox
                      className="checked"
                      isSelected={isChosen(teeth)}
                      onChange={(on) => toggle(teeth, on)}
                      aria-label={`Close at ${contactLabel(teeth, notation)}`}
                    >
                      <span className="checked__box" aria-hidden="true" />
                      {contactLabel(teeth, notation)}
                    </Checkbox>
                  </th>
                  <td>
                    {fixed(separation?.valueMm ?? 0)} <small className="soft">{sd(separation?.sdMm)}</small>
                  </td>
                  <td>
                    <b>{fixed(share?.closeMm ?? 0)}</b>
                  </td>
                  <td>{signed(share?.leftMm ?? separation?.valueMm ?? 0)}</td>
                </tr>
              );
            })}
          </tbody>
          <tfoot>
            <tr>
              <th scope="row">Sum</th>
              <td />
              <td>{fixed(closure.closeMm)}</td>
              <td />
            </tr>
          </tfoot>
        </table>
      )}
      <ClosureEffects closure={closure} jaw={record.jaw} />
    </section>
  );
}

/** What closing does to midline, incisors and ratio, and what is then likely to be left. */
export function ClosureEffects({ closure, jaw }: { closure: ClosurePlan; jaw: ArchRecord['jaw'] }) {
  const { forecast } = closure;
  const side = closure.midlineToRightMm > 0 ? 'right' : 'left';
  return (
    <ul className="effects num">
      <li>
        {fixed(closure.closeMm)}&nbsp;mm are closed: {fixed(Math.max(0, closure.excess.valueMm))}&nbsp;mm in
        excess and {fixed(closure.overCorrectionMm)}&nbsp;mm of over-correction
        {closure.unplacedMm > 0.005 &&
          `; ${fixed(closure.unplacedMm)}\u00a0mm of it find no open contact among those chosen`}
        .
      </li>
      {closure.keptOpenMm > 0.005 && (
        <li>{fixed(closure.keptOpenMm)}&nbsp;mm stay open: other teeth still need them.</li>
      )}
      <li>
        Midline:{' '}
        {Math.abs(closure.midlineToRightMm) < 0.005
          ? 'stays'
          : `moves ${fixed(Math.abs(closure.midlineToRightMm))}\u00a0mm to the patient’s ${side}`}
        , if the ends of the arch hold (our definition).
      </li>
      <li>
        Incisors: {fixed(closure.incisorsBackMm)}&nbsp;mm inward if the molars hold (
        {STANDING_WORDS[INCISOR_SOURCE.standing]}: {sentence(INCISOR_SOURCE.text).replace(/\.$/, '')}).
      </li>
      <RatioLine jaw={jaw} />
      <li>
        Then expected to be left: {signed(forecast.residualMeanMm)}&nbsp;mm {sd(forecast.residualSdMm)}, with
        a chance of a gap of {percent(forecast.chanceGap)} and of jamming of {percent(forecast.chanceJam)}.
      </li>
    </ul>
  );
}
