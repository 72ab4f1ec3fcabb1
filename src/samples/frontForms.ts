import type { Crest, CrownForm, Profile } from './CrownForm.ts';
import { crest, wall } from './formParts.ts';

// Forms drawn by eye from standard tooth anatomy (handbook descriptions, from memory) and from looking at
// real scans; no measured surface is copied.

const incisor = (
  mesial: Profile,
  distal: Profile,
  buccal: Profile,
  lingual: Profile,
  edge: readonly [Crest['from'], Crest['to']],
  marginalRidge: number,
): CrownForm => ({
  mesial,
  distal,
  buccal,
  lingual,
  squareBuccal: 0.45,
  squareLingual: 0.02,
  taperBuccal: 0.04,
  taperLingual: 0.3,
  skew: 0,
  marginalRidge,
  crests: [crest(edge[0], edge[1], 0.75, 0.45)],
  furrows: [],
  grooves: [],
  edgeRoundMm: 0.5,
});

export const UPPER_1 = incisor(
  wall(0.77, 0.8, 0.985, 0.9),
  wall(0.77, 0.74, 0.97, 0.8),
  [
    [-0.4, 2.0],
    [0, 2.6],
    [0.15, 2.95],
    [0.4, 2.75],
    [0.7, 2.05],
    [0.9, 1.35],
    [1, 0.95],
    [1.2, 0.2],
  ],
  [
    [-0.4, 3.0],
    [0, 3.7],
    [0.14, 4.0],
    [0.3, 3.2],
    [0.45, 2.0],
    [0.65, 1.15],
    [0.85, 0.75],
    [1, 0.55],
    [1.2, 0.2],
  ],
  [
    [0.9, 0.15, 0.05],
    [-0.86, 0.1, 0.35],
  ],
  1.4,
);

export const UPPER_2 = incisor(
  wall(0.75, 0.77, 0.96, 0.82),
  wall(0.75, 0.68, 0.94, 0.66),
  [
    [-0.4, 1.8],
    [0, 2.3],
    [0.15, 2.6],
    [0.4, 2.4],
    [0.7, 1.8],
    [0.9, 1.2],
    [1, 0.85],
    [1.2, 0.2],
  ],
  [
    [-0.4, 2.6],
    [0, 3.2],
    [0.14, 3.45],
    [0.3, 2.75],
    [0.45, 1.8],
    [0.65, 1.1],
    [0.85, 0.7],
    [1, 0.5],
    [1.2, 0.2],
  ],
  [
    [0.8, 0.15, 0.05],
    [-0.72, 0.0, 0.5],
  ],
  1.2,
);

export const LOWER_1 = incisor(
  wall(0.7, 0.83, 0.99, 0.92),
  wall(0.7, 0.82, 0.985, 0.9),
  [
    [-0.4, 1.9],
    [0, 2.3],
    [0.15, 2.5],
    [0.4, 2.2],
    [0.7, 1.55],
    [0.9, 1.05],
    [1, 0.8],
    [1.2, 0.3],
  ],
  [
    [-0.4, 2.7],
    [0, 3.2],
    [0.14, 3.35],
    [0.3, 2.7],
    [0.5, 1.7],
    [0.7, 1.1],
    [0.87, 0.8],
    [1, 0.62],
    [1.2, 0.2],
  ],
  [
    [0.9, 0.05, 0],
    [-0.88, 0.0, 0.1],
  ],
  0.25,
);

export const LOWER_2 = incisor(
  wall(0.7, 0.82, 0.985, 0.9),
  wall(0.7, 0.77, 0.97, 0.82),
  [
    [-0.4, 2.0],
    [0, 2.4],
    [0.15, 2.6],
    [0.4, 2.3],
    [0.7, 1.6],
    [0.9, 1.1],
    [1, 0.8],
    [1.2, 0.3],
  ],
  [
    [-0.4, 2.8],
    [0, 3.3],
    [0.14, 3.5],
    [0.3, 2.85],
    [0.5, 1.8],
    [0.7, 1.15],
    [0.87, 0.85],
    [1, 0.62],
    [1.2, 0.2],
  ],
  [
    [0.88, 0.2, 0],
    [-0.84, -0.2, 0.25],
  ],
  0.3,
);

const canine = (
  mesial: Profile,
  distal: Profile,
  buccal: Profile,
  lingual: Profile,
  shoulders: readonly [mesialMm: number, distalMm: number],
  lingualRidge: boolean,
): CrownForm => ({
  mesial,
  distal,
  buccal,
  lingual,
  squareBuccal: 0,
  squareLingual: 0,
  taperBuccal: 0.16,
  taperLingual: 0.28,
  skew: 0,
  marginalRidge: 0.35,
  crests: [
    crest([0.06, 0.45, 0], [0.82, 0.1, shoulders[0]], 0.85, 0.35),
    crest([0.06, 0.45, 0], [-0.84, -0.1, shoulders[1]], 0.85, 0.35),
    ...(lingualRidge ? [crest([0.06, 0.3, 0.15], [0, -2.9, 4.6], 0.75, 0.5)] : []),
  ],
  furrows: [],
  grooves: [],
  edgeRoundMm: 0.55,
});

export const UPPER_3 = canine(
  wall(0.7, 0.71, 0.93, 0.6),
  wall(0.68, 0.65, 0.9, 0.5),
  [
    [-0.4, 2.7],
    [0, 3.3],
    [0.18, 3.7],
    [0.4, 3.5],
    [0.65, 2.75],
    [0.85, 1.9],
    [1, 1.15],
    [1.2, 0.2],
  ],
  [
    [-0.4, 3.3],
    [0, 3.9],
    [0.18, 4.2],
    [0.35, 3.5],
    [0.5, 2.65],
    [0.7, 1.7],
    [0.88, 1.05],
    [1, 0.7],
    [1.2, 0.2],
  ],
  [2.2, 2.9],
  true,
);

export const LOWER_3 = canine(
  wall(0.68, 0.75, 0.95, 0.66),
  wall(0.66, 0.7, 0.9, 0.52),
  [
    [-0.4, 2.6],
    [0, 3.1],
    [0.16, 3.4],
    [0.4, 3.1],
    [0.65, 2.3],
    [0.85, 1.6],
    [1, 1.0],
    [1.2, 0.2],
  ],
  [
    [-0.4, 3.2],
    [0, 3.8],
    [0.16, 4.0],
    [0.35, 3.3],
    [0.5, 2.4],
    [0.7, 1.5],
    [0.88, 1.0],
    [1, 0.7],
    [1.2, 0.2],
  ],
  [1.7, 2.6],
  true,
);
