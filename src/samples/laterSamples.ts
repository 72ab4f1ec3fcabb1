import { archOrder, contactsOf, positionOf } from '../core/base/tooth.ts';
import { evenCuts } from './ArchChange.ts';
import { type NamedSample, namedSamples } from './namedSamples.ts';

const crowded = namedSamples.find(({ name }) => name === 'lower-crowded')!.recipe;
const FRONT_TO_MOLARS = contactsOf(archOrder('lower').filter((tooth) => positionOf(tooth) <= 6));
const cutAsRecorded = (amountsMm: readonly number[]) =>
  evenCuts(FRONT_TO_MOLARS.map((teeth, i) => [teeth, amountsMm[i]]));

/** Later scans of lower-crowded: after a first visit, and at the end. */
export const laterSamples: readonly NamedSample[] = [
  {
    name: 'lower-crowded-visit-1',
    recipe: crowded,
    format: 'ply',
    shows: 'The crowded lower arch after a first visit: 2.3 mm taken, the teeth partly moved.',
    later: {
      of: 'lower-crowded',
      change: {
        cuts: cutAsRecorded([0.2, 0.18, 0.22, 0.2, 0.18, 0.36, 0.22, 0.2, 0.16, 0.2, 0.18]),
        seed: 104,
      },
    },
  },
  {
    name: 'lower-crowded-finish',
    recipe: crowded,
    format: 'ply',
    shows: 'The crowded lower arch at the end: one contact cut too far, a gap of 0.4 mm in the midline.',
    later: {
      of: 'lower-crowded',
      change: {
        cuts: cutAsRecorded([0.34, 0.3, 0.36, 0.32, 0.3, 0.82, 0.34, 0.32, 0.28, 0.34, 0.32]),
        seed: 105,
      },
    },
  },
];
