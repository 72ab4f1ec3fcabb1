import { useState } from 'react';
import { isTooth, type Tooth, toothLabel } from '../../core/base/tooth.ts';
import { TextButton } from '../design/controls.tsx';
import { mm, toothName } from '../format.ts';
import { actions, useStore } from '../store.ts';
import { caseWidths, typedNumber } from './studyData.ts';
import { setStudy, useStudy } from './studyStore.ts';

/** Caliper widths typed or pasted beside those measured on the scan. */
export function CaliperSource() {
  const arches = useStore((state) => state.caseDocument.arches);
  const notation = useStore((state) => state.caseDocument.notation);
  const typed = useStudy((state) => state.caliper);
  const [pasted, setPasted] = useState('');
  const [fault, setFault] = useState('');
  const widths = caseWidths(arches);
  const type = (tooth: Tooth, text: string): void => setStudy({ caliper: { ...typed, [tooth]: text } });
  const take = (): void => {
    const read = readPasted(pasted);
    if ('fault' in read) {
      setFault(read.fault);
      return;
    }
    setFault('');
    setPasted('');
    setStudy({ caliper: { ...typed, ...read.widths } });
    actions().announce(`${Object.keys(read.widths).length} widths taken.`);
  };
  return (
    <>
      <h2>Caliper</h2>
      <p className="soft">
        Widths measured on plaster or in the mouth, tooth by tooth, in mm. To stay blind, type all of them
        before you look at the results.
      </p>
      {widths.length === 0 && <p>No tooth of the open case has both contact points marked yet.</p>}
      {widths.length > 0 && (
        <table className="grid study__caliper">
          <thead>
            <tr>
              <th scope="col">tooth</th>
              <th scope="col">scan, mm</th>
              <th scope="col">caliper, mm</th>
            </tr>
          </thead>
          <tbody>
            {widths.map(([tooth, widthMm]) => {
              const text = typed[tooth] ?? '';
              const isWrong = text.trim() !== '' && typedNumber(text) === null;
              return (
                <tr key={tooth}>
                  <th scope="row">{toothLabel(tooth, notation)}</th>
                  <td>{mm(widthMm)}</td>
                  <td>
                    <input
                      className="study__entry"
                      inputMode="decimal"
                      aria-label={`Caliper width of the ${toothName(tooth)}, mm`}
                      aria-invalid={isWrong}
                      value={text}
                      onChange={(event) => type(tooth, event.target.value)}
                    />
                  </td>
                </tr>
              );
            })}
          </tbody>
        </table>
      )}
      <label className="field">
        <span className="field__label">Paste: a tooth (ISO 3950) and its width on each line</span>
        <textarea
          className="study__paste"
          rows={3}
          value={pasted}
          onChange={(event) => setPasted(event.target.value)}
          placeholder={'41  5.4\n42  5,9'}
        />
      </label>
      {fault && (
        <p className="study__why" role="alert">
          {fault}
        </p>
      )}
      <div className="study__row">
        <TextButton onPress={take} isDisabled={pasted.trim() === ''}>
          Take the widths
        </TextButton>
        <TextButton
          tone="plain"
          onPress={() => setStudy({ caliper: {} })}
          isDisabled={Object.keys(typed).length === 0}
        >
          Clear all
        </TextButton>
      </div>
    </>
  );
}

/** Lines of tooth and width; one that is no such line takes none and says which. */
export function readPasted(
  text: string,
): { readonly widths: Readonly<Record<Tooth, string>> } | { readonly fault: string } {
  const widths: Record<Tooth, string> = {};
  for (const [i, line] of text.split(/\r\n?|\n/).entries()) {
    if (line.trim() === '') continue;
    const [, tooth, width] = /^\s*(\d\d)[\s;:,]+(\d+(?:[.,]\d*)?)\s*(?:mm)?\s*$/.exec(line) ?? [];
    if (tooth === undefined || !isTooth(Number(tooth)) || typedNumber(width) === null)
      return {
        fault: `Line ${i + 1} is no tooth and width: "${line.trim().slice(0, 40)}". Nothing was taken.`,
      };
    widths[Number(tooth)] = width;
  }
  return { widths };
}
