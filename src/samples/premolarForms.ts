import type { Crest, CrownForm, Profile } from './CrownForm.ts';
import { crest, furrow, wall } from './formParts.ts';

// Forms drawn by eye from standard tooth anatomy (handbook descriptions, from memory) and from looking at
// real scans; no measured surface is copied.

interface PremolarCusps {
  readonly buccalMm: number; // buccal cusp tip from the axis
  readonly lingual: readonly (readonly [at: number, buccalMm: number, belowMm: number])[];
  readonly rimMm: number; // depth of the marginal ridges below the buccal tip
  readonly fossaMm: number;
}

const premolar = (
  mesial: Profile,
  distal: Profile,
  buccal: Profile,
  lingual: Profile,
  cusps: PremolarCusps,
  taperLingual: number,
): CrownForm => {
  const b = cusps.buccalMm;
  const { rimMm, fossaMm } = cusps;
  const deepest = Math.min(...cusps.lingual.map((c) => c[1]));
  const crests: Crest[] = [
    crest([0, b, 0], [0.78, b * 0.72, rimMm - 0.15], 0.9, 0.6),
    crest([0, b, 0], [-0.78, b * 0.72, rimMm - 0.05], 0.9, 0.6),
    crest([0, b, 0.1], [0, 0.1, fossaMm - 0.15], 0.95, 0.9),
    crest([0.8, b * 0.6, rimMm], [0.74, deepest * 0.55, rimMm + 0.1], 1.1, 0.6),
    crest([-0.8, b * 0.6, rimMm], [-0.74, deepest * 0.55, rimMm + 0.1], 1.1, 0.6),
  ];
  for (const [at, v, below] of cusps.lingual) {
    crests.push(crest([at, v, below], [at * 0.3, -0.3, fossaMm - 0.1], 0.95, 1.0));
    crests.push(crest([at, v, below], [0.7, v * 0.7, Math.max(rimMm + 0.1, below + 0.2)], 0.85, 0.45));
    crests.push(crest([at, v, below], [-0.7, v * 0.7, Math.max(rimMm + 0.1, below + 0.2)], 0.85, 0.45));
  }
  return {
    mesial,
    distal,
    buccal,
    lingual,
    squareBuccal: 0.28,
    squareLingual: 0.25,
    taperBuccal: 0.12,
    taperLingual,
    skew: 0,
    marginalRidge: 0,
    crests,
    furrows: [
      furrow([0.5, -0.2], [-0.5, -0.2], 0.3),
      furrow([0.5, -0.2], [0.66, 0.24 * b + 0.3], 0.16),
      furrow([-0.5, -0.2], [-0.66, 0.24 * b + 0.3], 0.16),
      furrow([0.5, -0.2], [0.62, deepest * 0.4], 0.14),
      furrow([-0.5, -0.2], [-0.62, deepest * 0.4], 0.14),
    ],
    grooves: [],
    edgeRoundMm: 0.7,
  };
};

export const UPPER_4 = premolar(
  wall(0.7, 0.63, 0.97, 0.85),
  wall(0.7, 0.65, 0.97, 0.85),
  [
    [-0.4, 3.3],
    [0, 3.8],
    [0.25, 4.3],
    [0.5, 4.1],
    [0.8, 3.4],
    [1, 2.7],
    [1.2, 1.6],
  ],
  [
    [-0.4, 3.7],
    [0, 4.2],
    [0.3, 4.8],
    [0.6, 4.65],
    [0.8, 4.15],
    [1, 3.2],
    [1.2, 2],
  ],
  { buccalMm: 2.5, lingual: [[0.1, -2.6, 0.9]], rimMm: 1.9, fossaMm: 2.6 },
  0.1,
);

export const UPPER_5 = premolar(
  wall(0.72, 0.64, 0.97, 0.86),
  wall(0.72, 0.64, 0.97, 0.86),
  [
    [-0.4, 3.3],
    [0, 3.7],
    [0.25, 4.2],
    [0.5, 4.0],
    [0.8, 3.4],
    [1, 2.7],
    [1.2, 1.6],
  ],
  [
    [-0.4, 3.7],
    [0, 4.2],
    [0.3, 4.7],
    [0.6, 4.6],
    [0.8, 4.2],
    [1, 3.3],
    [1.2, 2],
  ],
  { buccalMm: 2.4, lingual: [[0.06, -2.6, 0.45]], rimMm: 1.6, fossaMm: 2.3 },
  0.06,
);

export const LOWER_4 = premolar(
  wall(0.7, 0.66, 0.96, 0.82),
  wall(0.7, 0.66, 0.97, 0.84),
  [
    [-0.4, 3.0],
    [0, 3.4],
    [0.22, 3.9],
    [0.5, 3.6],
    [0.8, 2.6],
    [1, 1.7],
    [1.2, 0.8],
  ],
  [
    [-0.4, 3.0],
    [0, 3.3],
    [0.35, 3.75],
    [0.6, 3.75],
    [0.8, 3.3],
    [1, 2.4],
    [1.2, 1.5],
  ],
  { buccalMm: 1.1, lingual: [[0.05, -2.3, 2.0]], rimMm: 2.0, fossaMm: 2.6 },
  0.22,
);

export const LOWER_5 = premolar(
  wall(0.72, 0.65, 0.97, 0.87),
  wall(0.72, 0.65, 0.97, 0.87),
  [
    [-0.4, 3.1],
    [0, 3.5],
    [0.22, 4.0],
    [0.5, 3.75],
    [0.8, 2.9],
    [1, 2.0],
    [1.2, 1.1],
  ],
  [
    [-0.4, 3.3],
    [0, 3.7],
    [0.35, 4.15],
    [0.6, 4.15],
    [0.8, 3.75],
    [1, 2.9],
    [1.2, 1.8],
  ],
  {
    buccalMm: 1.8,
    lingual: [
      [0.36, -2.4, 0.9],
      [-0.46, -2.3, 1.3],
    ],
    rimMm: 1.7,
    fossaMm: 2.3,
  },
  0.06,
);
