/** A caution, worded once for screen, print and command line. */
export interface Caution {
  readonly id: string;
  readonly text: string;
  /** Where it must be seen: beside a measurement, a plan, the sheet for the chair, a visit record. */
  readonly at: readonly ('measure' | 'plan' | 'sheet' | 'record')[];
}

export const CAUTIONS: readonly Caution[] = [
  {
    id: 'not-a-medical-device',
    text: 'Not a medical device. These numbers support the judgement of a licensed clinician and the rules where you work; they never replace them.',
    at: ['measure', 'plan', 'sheet'],
  },
  {
    id: 'enamel-is-permanent',
    text: 'Enamel that is taken does not grow back. When in doubt take less, measure again, and take the rest later.',
    at: ['plan', 'sheet'],
  },
  {
    id: 'look-before-cutting',
    text: 'First look at radiographs for the enamel that is really there, and at restorations, caries risk, sensitivity and gum health. Limits shown here are averages of other people’s teeth.',
    at: ['plan', 'sheet'],
  },
  {
    id: 'check-with-a-gauge',
    text: 'Pass a gauge through every contact after cutting and write down what passes, not what was planned.',
    at: ['sheet', 'record'],
  },
  {
    id: 'polish-and-protect',
    text: 'Polish each surface and protect it with fluoride before the patient leaves the chair.',
    at: ['sheet', 'record'],
  },
  {
    id: 'held-back-waits',
    text: 'Tenths that are held back are not to be cut before a new measurement shows that they are needed.',
    at: ['plan', 'sheet'],
  },
];

export const cautionsAt = (place: Caution['at'][number]): readonly Caution[] =>
  CAUTIONS.filter((caution) => caution.at.includes(place));
