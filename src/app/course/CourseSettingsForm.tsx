import type { Jaw } from '../../core/base/tooth.ts';
import {
  COURSE_BOUNDS,
  COURSE_SOURCES,
  type CourseSettings,
} from '../../core/reduction/motion/CourseSettings.ts';
import { NumberInput, Segments, SwitchField } from '../design/controls.tsx';
import { STANDING_WORDS } from '../format.ts';
import { actions } from '../store.ts';

interface Figure {
  readonly field: keyof typeof COURSE_BOUNDS;
  readonly label: string;
  readonly unit?: string;
  readonly digits: number;
  readonly step: number; // 1: whole numbers only
  readonly note: string;
  readonly perUnit?: number; // of what is stored
  readonly emptied?: number; // what an emptied field stands for; none: it stays as it was
}

const DEG = Math.PI / 180;

const standing = (field: keyof typeof COURSE_SOURCES): string =>
  STANDING_WORDS[COURSE_SOURCES[field].standing];

const FIGURES: readonly Figure[] = [
  {
    field: 'middleShiftMm',
    label: 'Middle moved to the left by',
    digits: 1,
    step: 0.1,
    note: 'the patient’s left; minus: right',
    emptied: 0,
  },
  {
    field: 'stepMm',
    label: 'Most a crown moves in a stage',
    digits: 2,
    step: 0.05,
    note: standing('stepMm'),
  },
  {
    field: 'stepRad',
    label: 'Most it turns in a stage',
    unit: '°',
    digits: 1,
    step: 0.5,
    note: standing('stepRad'),
    perUnit: DEG,
  },
  {
    field: 'stagesPerVisit',
    label: 'Stages between visits',
    unit: '',
    digits: 0,
    step: 1,
    note: standing('stagesPerVisit'),
  },
  {
    field: 'reachStepMm',
    label: 'Reachable up to a step across of',
    digits: 1,
    step: 0.1,
    note: 'ours, no source',
  },
];

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
        {FIGURES.map(({ field, perUnit = 1, emptied = null, ...shown }) => (
          <NumberInput
            key={field}
            {...shown}
            min={COURSE_BOUNDS[field][0] / perUnit}
            max={COURSE_BOUNDS[field][1] / perUnit}
            value={Math.round((settings[field] / perUnit) * 100) / 100}
            onChange={(typed) => {
              const value = typed ?? emptied;
              if (value !== null) change({ [field]: shown.step === 1 ? Math.round(value) : value * perUnit });
            }}
          />
        ))}
      </div>
      <SwitchField on={settings.levelled} onChange={(levelled) => change({ levelled })}>
        Bring cusps and edges to one height
      </SwitchField>
      <p className="sheet__note">Reachable: {COURSE_SOURCES.reachStepMm.text}.</p>
    </section>
  );
}
