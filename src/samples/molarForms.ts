import type { Crest, CrownForm } from './CrownForm.ts';
import { crest, furrow, wall } from './formParts.ts';

// Forms drawn by eye from standard tooth anatomy (handbook descriptions, from memory) and from looking at
// real scans; no measured surface is copied.

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

export const UPPER_6 = molar(
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

export const UPPER_7 = molar(
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

export const LOWER_6 = molar(
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

export const LOWER_7 = molar(
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
