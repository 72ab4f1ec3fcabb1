import { useState } from 'react';
import type { SampleProgress } from '../../../workers/samplesContract.ts';
import { Refusal } from '../../core/base/refusal.ts';
import { recipeFromCode } from '../../samples/recipeCode.ts';
import {
  DialogSheet,
  Segments,
  SelectField,
  SwitchField,
  TextButton,
  TextInput,
} from '../design/controls.tsx';
import { showRefusal } from '../files/openScan.ts';
import { sampleHint, sampleTitle } from '../files/sampleNames.ts';
import { SAMPLES } from '../files/samples.ts';
import { percent } from '../format.ts';
import { actions } from '../store.ts';
import { showDialog, useDialog } from '../topbar/dialogStore.ts';
import { ArchMaker } from './ArchMaker.tsx';
import { cancelMaking, openLesson } from './lessonArch.ts';
import { LESSONS, type LessonId, lessonOf } from './lessonList.ts';
import { forgetProgress, type LessonArch, setProjector, useLessons } from './lessonStore.ts';
import './lessons.css';

type Way = 'shipped' | 'code';

/** Lessons on generated arches: what there is, how far one has come, and on which arch to begin. */
export function LessonsDialog() {
  return useDialog((state) => state.open === 'lessons') ? <Lessons /> : null;
}

function Lessons() {
  const { progress, projector } = useLessons();
  const [way, setWay] = useState<Way>('shipped');
  const [name, setName] = useState('lower-crowded');
  const [code, setCode] = useState('');
  const [making, setMaking] = useState<SampleProgress | null>(null);
  const close = (): void => {
    if (making) cancelMaking();
    showDialog(null);
  };
  const { arch, fault } = way === 'code' ? archByCode(code) : shippedArch(name);
  const start = (id: LessonId) => () => {
    const { only } = lessonOf(id);
    const held = only === null ? arch : shippedArch(only).arch;
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
        <div className="field">
          <span className="field__label" aria-hidden="true">
            Arch
          </span>
          <Segments<Way>
            label="Arch"
            value={way}
            onChange={setWay}
            choices={[
              { id: 'shipped', label: 'From the list' },
              { id: 'code', label: 'By a code' },
            ]}
          />
        </div>
        {way === 'shipped' ? (
          <SelectField
            label="Which of the list"
            value={name}
            onChange={setName}
            choices={SAMPLES.map((sample) => ({
              id: sample.name,
              label: sampleTitle(sample.name),
              note: sampleHint(sample.name),
            }))}
          />
        ) : (
          <TextInput
            label="Code, as your teacher gave it"
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
              <td className="num soft">
                {progress[id] &&
                  `best ${Math.round(progress[id].best)}, ${progress[id].tries} ${progress[id].tries === 1 ? 'try' : 'tries'}`}
              </td>
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
        inUse={way === 'code' ? code : null}
        onUse={(made) => {
          setWay('code');
          setCode(made);
          actions().announce('The arch is chosen for the lessons above.');
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

interface Chosen {
  readonly arch: LessonArch | null;
  readonly fault: string | null;
}

function shippedArch(name: string): Chosen {
  const sample = SAMPLES.find((shipped) => shipped.name === name);
  return { arch: sample ? { kind: 'sample', name, jaw: sample.jaw } : null, fault: null };
}

function archByCode(code: string): Chosen {
  try {
    const { jaw } = recipeFromCode(code);
    return { arch: { kind: 'code', code, jaw }, fault: null };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { arch: null, fault: error.message.replace(/^\w+: /, '') };
  }
}
