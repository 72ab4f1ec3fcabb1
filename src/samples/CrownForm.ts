/** A crest of the biting surface: a line from one point to another, falling away to both sides. */
export interface Crest {
  /** Ends as [mesial +1 … distal −1 in half widths, buccal mm, mm below the tip]. */
  readonly from: readonly [number, number, number];
  readonly to: readonly [number, number, number];
  readonly slope: number; // fall per mm to the sides
  readonly roundMm: number; // radius-like rounding of the crest
}

/** A furrow running down the buccal or lingual wall between two cusps. */
export interface WallGroove {
  readonly at: number; // half widths, mesial positive
  readonly side: 'buccal' | 'lingual';
  readonly depth: number; // part of the wall's distance from the axis
  readonly breadthMm: number;
}

/** A fissure of the biting surface, cut along a line. */
export interface Furrow {
  readonly from: readonly [at: number, buccalMm: number]; // half widths mesial, mm buccal
  readonly to: readonly [at: number, buccalMm: number];
  readonly depthMm: number;
  readonly breadthMm: number;
}

/** [part of the height above the cervix, value] pairs of a profile; linear between is smoothed. */
export type Profile = readonly (readonly [height: number, value: number])[];

/**
 * The form of one kind of crown at its reference size. Local frame: u mesial, v buccal, w occlusal from the
 * cervix; the axis u = v = 0 passes between the two contact points. `mesial` and `distal` give the proximal
 * walls in half widths, `buccal` and `lingual` the other walls in mm.
 */
export interface CrownForm {
  readonly mesial: Profile;
  readonly distal: Profile;
  readonly buccal: Profile;
  readonly lingual: Profile;
  readonly squareBuccal: number; // 0 ellipse … 1 nearly square
  readonly squareLingual: number;
  readonly taperBuccal: number; // narrowing toward the buccal and lingual ends, part of the width
  readonly taperLingual: number;
  readonly skew: number; // mm buccal per mm mesial: the rhombic outline of molars
  readonly marginalRidge: number; // mm by which the lingual wall stands out at its mesial and distal rims
  readonly crests: readonly Crest[];
  readonly furrows: readonly Furrow[];
  readonly grooves: readonly WallGroove[];
  readonly edgeRoundMm: number; // rounding between walls and biting surface
}
