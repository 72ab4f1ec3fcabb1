import type { Tooth } from '../../src/core/base/tooth.ts';
import type { ArchMeasures, ToothMeasure } from '../../src/core/measure/ArchMeasures.ts';
import { UPRIGHT } from './markArches.ts';

/** Measures of an arch with nothing measured but what is given. */
export const makeMeasures = (change: Partial<ArchMeasures>): ArchMeasures => ({
  jaw: 'lower',
  frame: UPRIGHT,
  teeth: [],
  contacts: [],
  gaps: [],
  line: null,
  lines: [],
  fourSegments: null,
  sixSegments: null,
  irregularity: null,
  irregularityGrade: null,
  depth: null,
  intercanine: null,
  interpremolar: null,
  intermolar: null,
  speeDepthRight: null,
  speeDepthLeft: null,
  midlineOffset: null,
  asymmetry: null,
  gradients: [],
  warnings: [],
  ...change,
});

/** A width entered by hand, as the measures carry it. */
export const enteredTooth = (tooth: Tooth, widthMm: number, sdMm = 0): ToothMeasure => ({
  tooth,
  widthMm,
  widthOcclusalMm: null,
  sdMm,
  mesialMm: null,
  distalMm: null,
  source: 'entered',
  confidence: null,
});
