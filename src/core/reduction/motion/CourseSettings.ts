import type { Source } from '../../base/Source.ts';

/** What the user sets for moving the teeth to the planned arch; kept with the case. */
export interface CourseSettings {
  /** What stays: the first molars, as in the space account, or the midline, with the molars following. */
  readonly reference: 'molars' | 'midline';
  /** Where the middle of the row comes to lie between staying molars: equally free on both sides, or where it stands. */
  readonly middle: 'even' | 'stays';
  readonly middleShiftMm: number; // from there, toward the patient's left
  /** Cusps and edges are brought to one height; otherwise every tooth keeps its own. */
  readonly levelled: boolean;
  readonly stepMm: number; // most a crown's middle moves in one stage
  readonly stepRad: number; // most it turns in one stage
  readonly stagesPerVisit: number;
  readonly reachStepMm: number; // most that facing contact points stand off each other where a strip passes
}

export const COURSE_DEFAULTS: CourseSettings = {
  reference: 'molars',
  middle: 'even',
  middleShiftMm: 0,
  levelled: false,
  stepMm: 0.25,
  stepRad: (2 * Math.PI) / 180,
  stagesPerVisit: 6,
  reachStepMm: 1,
};

/** Bounds of the settings; a case file outside of them is refused. */
export const COURSE_BOUNDS = {
  middleShiftMm: [-5, 5],
  stepMm: [0.05, 2],
  stepRad: [(0.5 * Math.PI) / 180, (15 * Math.PI) / 180],
  stagesPerVisit: [1, 50],
  reachStepMm: [0.1, 5],
} as const;

/** Why a setting begins where it does; shown beside it. */
export const COURSE_SOURCES: Readonly<
  Record<'stepMm' | 'stepRad' | 'stagesPerVisit' | 'reachStepMm', Source>
> = {
  stepMm: { standing: 'practice', text: '0.25 mm a stage; common practice, no source' },
  stepRad: { standing: 'practice', text: '2° a stage; common practice, no source' },
  stagesPerVisit: { standing: 'practice', text: 'six stages between visits; common practice, no source' },
  reachStepMm: {
    standing: 'practice',
    text: 'our definition, no source: a strip or bur passes where the facing contact points stand no further off each other, across the row, than this, or where the crowns stand free of each other',
  },
};

/** Crowns that share more than this collide: beyond the error of gaps between scanned crowns; our choice. Units: mm. */
export const COLLISION_MM = 0.15;

/** Crowns as far apart as this let a strip or bur pass wherever their contact points are; our choice. Units: mm. */
export const PASSES_FREE_MM = 0.3;
