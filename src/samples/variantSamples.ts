import type { NamedSample } from './namedSamples.ts';

const triangles = 80_000;

/** Arches that depart from the usual: a mixed dentition, turned premolars, a deep curve of Spee, peg laterals. */
export const variantSamples: readonly NamedSample[] = [
  {
    name: 'lower-mixed',
    recipe: {
      jaw: 'lower',
      seed: 38,
      primary: [73, 74, 75, 83, 84, 85],
      unerupted: [37, 47],
      crowdingMm: 1.6,
      triangles,
    },
    format: 'ply',
    shows: 'A lower mixed dentition: primary canines and molars stand, their successors have yet to come.',
  },
  {
    name: 'lower-turned-premolars',
    recipe: {
      jaw: 'lower',
      seed: 34,
      crowdingMm: 1.2,
      rotationsDeg: { 35: 40, 44: -32 },
      pose: 'any',
      triangles,
    },
    format: 'ply',
    shows: 'A lower arch with two premolars turned, by 40° and 32°.',
  },
  {
    name: 'lower-deep-spee',
    recipe: { jaw: 'lower', seed: 35, crowdingMm: 2.4, speeMm: 5, triangles },
    format: 'ply',
    shows: 'A lower arch with a deep curve of Spee, short of 2.4 mm.',
  },
  {
    name: 'upper-peg-laterals',
    recipe: {
      jaw: 'upper',
      seed: 36,
      pegs: [12, 22],
      gaps: [
        { teeth: [13, 12], gapMm: 0.6 },
        { teeth: [12, 11], gapMm: 0.9 },
        { teeth: [21, 22], gapMm: 0.8 },
        { teeth: [22, 23], gapMm: 0.7 },
      ],
      triangles,
    },
    format: 'ply',
    shows: 'An upper arch whose lateral incisors are pegs, with spaces beside them.',
  },
];
