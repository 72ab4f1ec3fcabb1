import { type ClipboardEvent, type KeyboardEvent, useEffect, useRef, useState } from 'react';
import { archPlace, jawOf, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import type { CaliperWidth } from '../../core/casefile/CaseDocument.ts';
import { SwitchField, TextButton } from '../design/controls.tsx';
import { mm, toothName } from '../format.ts';
import { actions, useStore } from '../store.ts';
import { readPasted, typedNumber, withCaliperWidth } from './caliperEntry.ts';
import { caseWidths } from './studyData.ts';
import { setStudy, useStudy } from './studyStore.ts';

const NONE: readonly CaliperWidth[] = [];
/** Caliper widths of the case at hand. */
export const useCaliper = (): readonly CaliperWidth[] =>
  useStore((state) => state.caseDocument.caliper) ?? NONE;

const caliperNow = (): readonly CaliperWidth[] => useStore.getState().caseDocument.caliper ?? NONE;

/** Caliper widths typed or pasted beside those measured on the scan. */
export function CaliperSource() {
  const arches = useStore((state) => state.caseDocument.arches);
  const notation = useStore((state) => state.caseDocument.notation);
  const caliper = useCaliper();
  const unseen = useStudy((state) => state.unseen);
  const [fault, setFault] = useState('');
  const [removed, setRemoved] = useState(NONE);
  const measured = new Map(caseWidths(arches));
  const others = caliper.map(({ tooth }) => tooth).filter((tooth) => !measured.has(tooth));
  const teeth = [...measured.keys(), ...others].sort(
    (a, b) => Number(jawOf(a) === 'lower') - Number(jawOf(b) === 'lower') || archPlace(a) - archPlace(b),
  );
  const take = (text: string, order: readonly Tooth[]): boolean => {
    const read = readPasted(text, order);
    if ('fault' in read) {
      setFault(read.fault);
      return false;
    }
    setFault('');
    const strange = read.widths.filter(({ tooth }) => !measured.has(tooth)).length;
    actions().setCaliper(
      read.widths.reduce((now, { tooth, widthMm }) => withCaliperWidth(now, tooth, widthMm), caliperNow()),
    );
    actions().announce(
      `${read.widths.length} widths taken.${strange > 0 ? ` ${strange} of them of teeth that are not measured on the scan.` : ''}`,
    );
    return true;
  };
  return (
    <>
      <h2>Caliper beside the scan</h2>
      <p className="soft">
        Widths measured on plaster or in the mouth, in mm, with point or comma. They are kept with the case
        and change nothing in it.
      </p>
      {measured.size === 0 && (
        <p>No tooth of the open case has both contact points marked yet; mark them on the scan first.</p>
      )}
      <SwitchField on={unseen} onChange={(on) => setStudy({ unseen: on })}>
        Scan widths and comparison out of sight
      </SwitchField>
      {teeth.length > 0 && (
        <table className="grid study__caliper">
          <caption className="visually-hidden">Caliper widths</caption>
          <thead>
            <tr>
              <th scope="col">tooth</th>
              {!unseen && <th scope="col">scan, mm</th>}
              <th scope="col">caliper, mm</th>
            </tr>
          </thead>
          <tbody>
            {teeth.map((tooth, i) => (
              <tr key={tooth}>
                <th scope="row">{toothLabel(tooth, notation)}</th>
                {!unseen && <td>{mm(measured.get(tooth))}</td>}
                <td>
                  <Entry tooth={tooth} onPaste={(text) => take(text, teeth.slice(i))} />
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <PasteField onTake={(text) => take(text, teeth)} />
      {fault && (
        <p className="study__why" role="alert">
          {fault}
        </p>
      )}
      <div className="study__row">
        <TextButton
          tone="plain"
          isDisabled={caliper.length === 0}
          onPress={() => {
            setRemoved(caliper);
            actions().setCaliper([]);
            actions().announce(`${caliper.length} widths removed.`);
          }}
        >
          Remove all
        </TextButton>
        {caliper.length === 0 && removed.length > 0 && (
          <TextButton
            onPress={() => {
              actions().setCaliper(removed);
              actions().announce(`${removed.length} widths are back.`);
            }}
          >
            Bring back the {removed.length}
          </TextButton>
        )}
      </div>
    </>
  );
}

/** One width; Enter and the arrows go from tooth to tooth, and a pasted column fills those that follow. */
function Entry({ tooth, onPaste }: { tooth: Tooth; onPaste: (text: string) => boolean }) {
  const kept = useCaliper().find((entry) => entry.tooth === tooth)?.widthMm ?? null;
  const [typed, setTyped] = useState<string | null>(null); // while it is being typed, or wrong
  const isWrong = typed !== null && typed.trim() !== '' && typedNumber(typed) === null;
  const field = useRef<HTMLInputElement>(null);
  useEffect(() => () => actions().endGesture(), []);
  const type = (text: string): void => {
    setTyped(text);
    const widthMm = typedNumber(text);
    if (widthMm !== null || text.trim() === '')
      actions().setCaliper(withCaliperWidth(caliperNow(), tooth, widthMm));
  };
  const leave = (): void => {
    actions().endGesture();
    if (!isWrong) setTyped(null);
  };
  const onKey = (event: KeyboardEvent<HTMLInputElement>): void => {
    const by = { Enter: 1, ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (by === undefined) return;
    event.preventDefault();
    const fields = [...document.querySelectorAll<HTMLInputElement>('.study__entry')];
    const next = fields[fields.indexOf(event.currentTarget) + by];
    next?.focus();
    next?.select();
  };
  const paste = (event: ClipboardEvent<HTMLInputElement>): void => {
    const text = event.clipboardData.getData('text');
    if (!/[\t\n\r;]/.test(text.trim())) return;
    event.preventDefault();
    actions().endGesture();
    if (onPaste(text)) setTyped(null);
  };
  return (
    <>
      <input
        ref={field}
        className="study__entry"
        inputMode="decimal"
        autoComplete="off"
        aria-label={`Caliper width of the ${toothName(tooth)}, mm`}
        aria-invalid={isWrong}
        aria-describedby={isWrong ? `caliper-${tooth}` : undefined}
        value={typed ?? (kept === null ? '' : String(kept))}
        onFocus={() => actions().beginGesture()}
        onBlur={leave}
        onKeyDown={onKey}
        onPaste={paste}
        onChange={(event) => type(event.target.value)}
      />
      {isWrong && (
        <span className="field__error study__wrong" id={`caliper-${tooth}`}>
          no width, 0 to 30 mm
        </span>
      )}
    </>
  );
}

function PasteField({ onTake }: { onTake: (text: string) => boolean }) {
  const [pasted, setPasted] = useState('');
  return (
    <div className="field">
      <label className="field__label" htmlFor="caliper-paste">
        Paste from a spreadsheet: tooth (ISO 3950) and width on each line, or the widths alone in the order
        above
      </label>
      <textarea
        id="caliper-paste"
        className="study__paste"
        rows={3}
        value={pasted}
        onChange={(event) => setPasted(event.target.value)}
        placeholder={'41\t5.4\n42\t5,9'}
      />
      <div className="study__row">
        <TextButton isDisabled={pasted.trim() === ''} onPress={() => onTake(pasted) && setPasted('')}>
          Take the widths
        </TextButton>
      </div>
    </div>
  );
}

/** In place of the comparison while it shall not lead the hand. */
export function CaliperUnseen() {
  const typed = useCaliper().length;
  const measured = caseWidths(useStore((state) => state.caseDocument.arches)).length;
  return (
    <div className="study__empty">
      <h2>
        {typed} of {measured} widths typed
      </h2>
      <p>
        The scan’s widths and the comparison are out of sight, so that neither leads your hand. Look at them
        once all widths are in.
      </p>
      <TextButton
        tone="strong"
        isDisabled={typed === 0}
        onPress={() => {
          setStudy({ unseen: false });
          actions().announce('The comparison is shown.');
        }}
      >
        Show the comparison
      </TextButton>
    </div>
  );
}
