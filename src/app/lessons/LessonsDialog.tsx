import { useState } from 'react';
import type { SampleProgress } from '../../../workers/samplesContract.ts';
import { Refusal } from '../../core/base/refusal.ts';
import { recipeFromCode } from '../../samples/recipeCode.ts';
import { DialogSheet, SelectField, SwitchField, TextButton, TextInput } from '../design/controls.tsx';
import { showRefusal } from '../files/openScan.ts';
import { inWords } from '../files/SamplesDialog.tsx';
import { SAMPLES } from '../files/samples.ts';
import { percent } from '../format.ts';
import { showDialog, useDialog } from '../topbar/dialogStore.ts';
import { ArchMaker } from './ArchMaker.tsx';
import { cancelMaking, openLesson } from './lessonArch.ts';
import { LESSONS, type LessonId, lessonOf } from './lessonList.ts';
import { forgetProgress, type LessonArch, setProjector, useLessons } from './lessonStore.ts';
import './lessons.css';

const BY_CODE = 'by-code';

/** Lessons on generated arches: what there is, how far one has come, and on which arch to begin. */
export function LessonsDialog() {
  return useDialog((state) => state.open === 'lessons') ? <Lessons /> : null;
}

function Lessons() {
  const { progress, projector } = useLessons();
  const [choice, setChoice] = useState('lower-crowded');
  const [code, setCode] = useState('');
  const [making, setMaking] = useState<SampleProgress | null>(null);
  const close = (): void => {
    if (making) cancelMaking();
    showDialog(null);
  };
  const { arch, fault } = archOf(choice, code);
  const start = (id: LessonId) => () => {
    const { only } = lessonOf(id);
    const held = only === null ? arch : archOf(only, '').arch;
    if (!held) return;
    const onProgress = (told: SampleProgress) => setMaking(told);
    if (held.kind === 'code') setMaking({ stage: 'teeth', doneRatio: 0 });
    else showDialog(null);
    openLesson(id, held, onProgress)
      .then(() => showDialog(null))
      .catch((error: unknown) => showRefusal(error, 'The lesson could not be opened'))
      .finally(() => setMaking(null));
  };
  return (
    <DialogSheet title="Lessons" open onClose={close} wide>
      <p className="soft">
        On generated arches, no patient’s, whose true sizes are known. The truth is looked at only when you
        ask for your score. A lesson takes the place of the case at hand, which is kept.
      </p>
      <div className="lessons__arch">
        <SelectField
          label="Arch"
          value={choice}
          onChange={setChoice}
          choices={[
            ...SAMPLES.map(({ name, shows }) => ({
              id: name,
              label: inWords(name),
              note: shows,
            })),
            { id: BY_CODE, label: 'An arch by its code' },
          ]}
        />
        {choice === BY_CODE && (
          <TextInput
            label="Code"
            value={code}
            onChange={setCode}
            placeholder="A1-L4-C36-Z…"
            error={code && fault ? fault : undefined}
          />
        )}
      </div>
      <table className="grid">
        <tbody>
          {LESSONS.map(({ id, title, about, only }) => (
            <tr key={id}>
              <th scope="row">{title}</th>
              <td className="grid__text">{about}</td>
              <td className="num soft">{progress[id] ? `best ${Math.round(progress[id].best)}` : ''}</td>
              <td>
                <TextButton
                  small
                  aria-label={`Begin: ${title}`}
                  isDisabled={(only === null && !arch) || making !== null}
                  onPress={start(id)}
                >
                  Begin
                </TextButton>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {making && (
        <p role="status">
          The arch is being made: {percent(making.doneRatio)}.{' '}
          <TextButton small onPress={cancelMaking}>
            Cancel
          </TextButton>
        </p>
      )}
      <ArchMaker
        onUse={(made) => {
          setChoice(BY_CODE);
          setCode(made);
        }}
      />
      <div className="dialog__actions lessons__foot">
        <SwitchField on={projector} onChange={setProjector}>
          Large type, for a projector
        </SwitchField>
        <TextButton tone="plain" isDisabled={Object.keys(progress).length === 0} onPress={forgetProgress}>
          Forget my scores
        </TextButton>
        <TextButton onPress={close}>Close</TextButton>
      </div>
    </DialogSheet>
  );
}

function archOf(choice: string, code: string): { arch: LessonArch | null; fault: string | null } {
  if (choice !== BY_CODE) {
    const sample = SAMPLES.find(({ name }) => name === choice);
    return { arch: sample ? { kind: 'sample', name: sample.name, jaw: sample.jaw } : null, fault: null };
  }
  try {
    const { jaw } = recipeFromCode(code);
    return { arch: { kind: 'code', code, jaw }, fault: null };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { arch: null, fault: error.message.replace(/^\w+: /, '') };
  }
}
