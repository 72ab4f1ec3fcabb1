import type { Jaw } from '../core/base/tooth.ts';
import type { Crest, CrownForm, Furrow, Profile } from './CrownForm.ts';

// Forms drawn by eye from standard tooth anatomy (handbook descriptions, from memory) and from looking at
// real scans; no measured surface is copied.

const crest = (from: Crest['from'], to: Crest['to'], slope = 0.9, roundMm = 0.5): Crest => ({
  from,
  to,
  slope,
  roundMm,
});

/** A proximal wall: narrow at the cervix, widest at the contact, rounding off above it. */
const wall = (cervix: number, contact: number, above: number, top: number): Profile => [
  [-0.4, cervix - 0.24],
  [-0.1, cervix - 0.05],
  [0.05, cervix + 0.02],
  [contact * 0.45, cervix + (1 - cervix) * 0.52],
  [contact * 0.75, cervix + (1 - cervix) * 0.87],
  [contact, 1],
  [contact + (1 - contact) * 0.5, above],
  [1.02, top],
  [1.2, top - 0.25],
];

const furrow = (from: Furrow['from'], to: Furrow['to'], depthMm: number, breadthMm = 0.3): Furrow => ({
  from,
  to,
  depthMm,
  breadthMm,
});

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

const UPPER_1 = incisor(
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

const UPPER_2 = incisor(
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

const LOWER_1 = incisor(
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

const LOWER_2 = incisor(
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

const UPPER_3 = canine(
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

const LOWER_3 = canine(
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

const UPPER_4 = premolar(
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

const UPPER_5 = premolar(
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

const LOWER_4 = premolar(
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

const LOWER_5 = premolar(
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

/** A molar's cusps round the rim, in order: each is joined to the next by the rim and has a ridge inward. */
const molar = (
  base: Pick<CrownForm, 'mesial' | 'distal' | 'buccal' | 'lingual' | 'skew' | 'grooves'>,
  cusps: readonly (readonly [at: number, buccalMm: number, belowMm: number])[],
  sags: readonly number[], // mm by which the rim sinks between a cusp and the next
  pits: readonly [mesial: number, distal: number],
  extra: readonly Crest[],
): CrownForm => {
  const crests: Crest[] = [];
  cusps.forEach(([at, v, below], i) => {
    const [nextAt, nextV, nextBelow] = cusps[(i + 1) % cusps.length];
    // the rim bends outward between cusps of one wall and crosses to the other wall over a marginal ridge
    const ridge = v * nextV < 0 ? 0.8 * Math.sign(at + nextAt) : ((at + nextAt) / 2) * 1.12;
    const middle: Crest['from'] = [ridge, ((v + nextV) / 2) * 1.02, Math.max(below, nextBelow) + sags[i]];
    crests.push(crest([at, v, below], middle, 0.9, 0.8), crest(middle, [nextAt, nextV, nextBelow], 0.9, 0.8));
    const pit = at > 0 ? pits[0] : pits[1];
    crests.push(crest([at, v, below + 0.05], [at * 0.35 + pit * 0.25, v * 0.12, 2.0], 0.95, 1.1));
  });
  crests.push(...extra);
  const middleV = 0.1;
  const furrows = [
    furrow([pits[0], middleV], [0, middleV], 0.35),
    furrow([0, middleV], [pits[1], middleV], 0.35),
    ...[1.5, -1.5].flatMap((v) => pits.map((p) => furrow([p, middleV], [p * 1.45, v], 0.16))),
  ];
  cusps.forEach(([at, v], i) => {
    const [nextAt, nextV] = cusps[(i + 1) % cusps.length];
    if (v * nextV < 0) return; // over a marginal ridge no fissure runs
    const between = (at + nextAt) / 2;
    furrows.push(furrow([between * 0.6, middleV], [between * 1.05, ((v + nextV) / 2) * 1.3], 0.38, 0.42));
  });
  return {
    ...base,
    furrows,
    squareBuccal: 0.45,
    squareLingual: 0.42,
    taperBuccal: 0.07,
    taperLingual: 0.1,
    marginalRidge: 0,
    crests,
    edgeRoundMm: 0.6,
  };
};

const UPPER_6 = molar(
  {
    mesial: wall(0.74, 0.61, 0.97, 0.88),
    distal: wall(0.72, 0.59, 0.97, 0.87),
    buccal: [
      [-0.4, 4.4],
      [0, 4.8],
      [0.25, 5.2],
      [0.5, 5.0],
      [0.8, 4.4],
      [1, 3.7],
      [1.2, 2.6],
    ],
    lingual: [
      [-0.4, 4.6],
      [0, 5.0],
      [0.35, 5.6],
      [0.6, 5.5],
      [0.8, 5.0],
      [1, 4.1],
      [1.2, 3],
    ],
    skew: 0.03,
    grooves: [
      { at: -0.02, side: 'buccal', depth: 0.1, breadthMm: 1.0 },
      { at: -0.16, side: 'lingual', depth: 0.1, breadthMm: 1.0 },
    ],
  },
  [
    [0.5, 3.1, 0],
    [-0.46, 2.9, 0.25],
    [-0.6, -3.2, 0.9],
    [0.3, -3.0, 0.2],
  ],
  [1.0, 0.35, 0.95, 0.8],
  [0.4, -0.5],
  [{ from: [0.1, -1.6, 1.3], to: [-0.34, 1.5, 1.35], slope: 0.8, roundMm: 0.5 }],
);

const UPPER_7 = molar(
  {
    mesial: wall(0.74, 0.6, 0.97, 0.88),
    distal: wall(0.7, 0.56, 0.95, 0.8),
    buccal: [
      [-0.4, 4.3],
      [0, 4.7],
      [0.25, 5.1],
      [0.5, 4.9],
      [0.8, 4.3],
      [1, 3.6],
      [1.2, 2.5],
    ],
    lingual: [
      [-0.4, 4.6],
      [0, 5.0],
      [0.35, 5.55],
      [0.6, 5.4],
      [0.8, 4.9],
      [1, 4.0],
      [1.2, 3],
    ],
    skew: 0.045,
    grooves: [
      { at: 0, side: 'buccal', depth: 0.08, breadthMm: 1.0 },
      { at: -0.24, side: 'lingual', depth: 0.09, breadthMm: 1.0 },
    ],
  },
  [
    [0.5, 3.0, 0],
    [-0.42, 2.6, 0.45],
    [-0.56, -2.9, 1.4],
    [0.26, -3.0, 0.2],
  ],
  [0.95, 0.1, 0.8, 0.8],
  [0.4, -0.5],
  [{ from: [0.1, -1.6, 1.3], to: [-0.3, 1.4, 1.45], slope: 0.8, roundMm: 0.5 }],
);

const LOWER_6 = molar(
  {
    mesial: wall(0.76, 0.62, 0.97, 0.89),
    distal: wall(0.74, 0.6, 0.96, 0.84),
    buccal: [
      [-0.4, 4.3],
      [0, 4.7],
      [0.22, 5.15],
      [0.5, 4.85],
      [0.8, 4.0],
      [1, 3.2],
      [1.2, 2.2],
    ],
    lingual: [
      [-0.4, 4.2],
      [0, 4.6],
      [0.4, 5.1],
      [0.65, 4.95],
      [0.85, 4.4],
      [1, 3.8],
      [1.2, 2.8],
    ],
    skew: 0,
    grooves: [
      { at: 0.2, side: 'buccal', depth: 0.1, breadthMm: 0.9 },
      { at: -0.46, side: 'buccal', depth: 0.08, breadthMm: 0.8 },
      { at: 0.02, side: 'lingual', depth: 0.08, breadthMm: 0.9 },
    ],
  },
  [
    [0.54, 2.6, 0],
    [-0.12, 2.8, 0.15],
    [-0.7, 1.5, 0.5],
    [-0.46, -2.8, 0.2],
    [0.48, -2.8, 0.05],
  ],
  [0.9, 0.7, 0.6, 1.0, 0.9],
  [0.4, -0.5],
  [],
);

const LOWER_7 = molar(
  {
    mesial: wall(0.76, 0.61, 0.97, 0.89),
    distal: wall(0.74, 0.57, 0.95, 0.82),
    buccal: [
      [-0.4, 4.2],
      [0, 4.6],
      [0.22, 5.05],
      [0.5, 4.75],
      [0.8, 3.9],
      [1, 3.2],
      [1.2, 2.2],
    ],
    lingual: [
      [-0.4, 4.1],
      [0, 4.5],
      [0.4, 5.0],
      [0.65, 4.85],
      [0.85, 4.3],
      [1, 3.7],
      [1.2, 2.8],
    ],
    skew: 0,
    grooves: [
      { at: 0.0, side: 'buccal', depth: 0.1, breadthMm: 0.9 },
      { at: 0.0, side: 'lingual', depth: 0.08, breadthMm: 0.9 },
    ],
  },
  [
    [0.48, 2.6, 0],
    [-0.46, 2.6, 0.2],
    [-0.46, -2.7, 0.3],
    [0.46, -2.7, 0.1],
  ],
  [0.95, 0.8, 1.0, 0.85],
  [0.4, -0.4],
  [],
);

const FORMS: Readonly<Record<Jaw, readonly CrownForm[]>> = {
  upper: [UPPER_1, UPPER_2, UPPER_3, UPPER_4, UPPER_5, UPPER_6, UPPER_7],
  lower: [LOWER_1, LOWER_2, LOWER_3, LOWER_4, LOWER_5, LOWER_6, LOWER_7],
};

/** The form of a crown by jaw and position (1 to 7 from the midline). */
export const crownForm = (jaw: Jaw, position: number): CrownForm => FORMS[jaw][position - 1];
