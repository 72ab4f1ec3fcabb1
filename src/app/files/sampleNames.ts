/** What a sample is called, and what of it may be said to who has yet to measure it: no figure. */
interface SampleName {
  readonly title: string;
  readonly hint: string;
}

const NAMES: Readonly<Record<string, SampleName>> = {
  'lower-crowded': { title: 'Lower arch, crowded', hint: 'Imbricated incisors.' },
  'lower-aligned': { title: 'Lower arch, aligned', hint: 'Teeth in line; the scan lies askew.' },
  'upper-crowded': { title: 'Upper arch, crowded', hint: 'Crowded in front; the scan lies askew.' },
  'upper-spaced': { title: 'Upper arch, spaced', hint: 'Spaces between the front teeth.' },
  'pair-upper': { title: 'Pair: upper arch', hint: 'Its lower arch is the next one.' },
  'pair-lower': { title: 'Pair: lower arch', hint: 'Its upper arch is the one before.' },
  'lower-crowded-visit-1': {
    title: 'Lower arch, crowded: after the first visit',
    hint: 'The crowded lower arch, its teeth partly moved.',
  },
  'lower-crowded-finish': {
    title: 'Lower arch, crowded: at the end',
    hint: 'The same arch after treatment.',
  },
  'lower-mixed': { title: 'Lower arch, mixed dentition', hint: 'Primary canines and molars stand.' },
  'lower-turned-premolars': { title: 'Lower arch, turned premolars', hint: 'Two premolars are turned.' },
  'lower-deep-spee': { title: 'Lower arch, deep curve of Spee', hint: 'Look from the side, too.' },
  'upper-peg-laterals': { title: 'Upper arch, peg laterals', hint: 'Lateral incisors are pegs.' },
  pair: { title: 'Pair: both arches', hint: 'A whole case.' },
};

/** The title of a sample; of one that has none, its file's name in words. */
export const sampleTitle = (name: string): string =>
  NAMES[name]?.title ?? name.charAt(0).toUpperCase() + name.slice(1).replaceAll('-', ' ');

export const sampleHint = (name: string): string => NAMES[name]?.hint ?? '';
