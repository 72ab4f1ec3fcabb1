import type { Jaw } from '../../core/base/tooth.ts';
import {
  COURSE_BOUNDS,
  COURSE_SOURCES,
  type CourseSettings,
} from '../../core/reduction/motion/CourseSettings.ts';
import { NumberInput, Segments, SwitchField } from '../design/controls.tsx';
import { STANDING_WORDS } from '../format.ts';
import { actions } from '../store.ts';

const RAD_TO_DEG = 180 / Math.PI;

/** What stays, how far a tooth goes in one stage, and when a contact counts as reachable. */
export function CourseSettingsForm({ jaw, settings }: { jaw: Jaw; settings: CourseSettings }) {
  const change = (next: Partial<CourseSettings>): void => actions().setCourse(jaw, next);
  return (
    <section className="sheet__section" aria-labelledby="course-settings">
      <h3 className="sheet__title" id="course-settings">
        How the teeth are moved
      </h3>
      <div className="course__choices">
        <span className="field__label">What stays</span>
        <Segments
          small
          label="What stays"
          value={settings.reference}
          onChange={(reference) => change({ reference })}
          choices={[
            { id: 'molars', label: 'First molars' },
            { id: 'midline', label: 'Midline' },
          ]}
        />
        <span className="field__label">Middle of the row</span>
        <Segments
          small
          label="Middle of the row"
          value={settings.reference === 'midline' ? 'stays' : settings.middle}
          onChange={(middle) => change({ middle })}
          choices={[
            { id: 'even', label: 'Equally free on both sides', disabled: settings.reference === 'midline' },
            { id: 'stays', label: 'Where it stands' },
          ]}
        />
      </div>
      <div className="settings">
        <NumberInput
          label="Middle moved to the left by"
          digits={1}
          step={0.1}
          min={COURSE_BOUNDS.middleShiftMm[0]}
          max={COURSE_BOUNDS.middleShiftMm[1]}
          value={settings.middleShiftMm}
          note="the patient’s left; minus: right"
          onChange={(shift) => change({ middleShiftMm: shift ?? 0 })}
        />
        <NumberInput
          label="Most a crown moves in a stage"
          digits={2}
          step={0.05}
          min={COURSE_BOUNDS.stepMm[0]}
          max={COURSE_BOUNDS.stepMm[1]}
          value={settings.stepMm}
          note={STANDING_WORDS[COURSE_SOURCES.stepMm.standing]}
          onChange={(stepMm) => stepMm && change({ stepMm })}
        />
        <NumberInput
          label="Most it turns in a stage"
          unit="°"
          digits={1}
          step={0.5}
          min={COURSE_BOUNDS.stepRad[0] * RAD_TO_DEG}
          max={COURSE_BOUNDS.stepRad[1] * RAD_TO_DEG}
          value={Math.round(settings.stepRad * RAD_TO_DEG * 100) / 100}
          note={STANDING_WORDS[COURSE_SOURCES.stepRad.standing]}
          onChange={(degrees) => degrees && change({ stepRad: degrees / RAD_TO_DEG })}
        />
        <NumberInput
          label="Stages between visits"
          unit=""
          digits={0}
          step={1}
          min={COURSE_BOUNDS.stagesPerVisit[0]}
          max={COURSE_BOUNDS.stagesPerVisit[1]}
          value={settings.stagesPerVisit}
          note={STANDING_WORDS[COURSE_SOURCES.stagesPerVisit.standing]}
          onChange={(stages) => stages && change({ stagesPerVisit: Math.round(stages) })}
        />
        <NumberInput
          label="Reachable up to a step across of"
          digits={1}
          step={0.1}
          min={COURSE_BOUNDS.reachStepMm[0]}
          max={COURSE_BOUNDS.reachStepMm[1]}
          value={settings.reachStepMm}
          note="ours, no source"
          onChange={(reachStepMm) => reachStepMm && change({ reachStepMm })}
        />
      </div>
      <SwitchField on={settings.levelled} onChange={(levelled) => change({ levelled })}>
        Bring cusps and edges to one height
      </SwitchField>
      <p className="sheet__note">Reachable: {COURSE_SOURCES.reachStepMm.text}.</p>
    </section>
  );
}
