import type { Contact } from '../../core/base/tooth.ts';
import type { ChangeTruth } from '../../samples/changeTruth.ts';
import { pointsFor } from './points.ts';

export type NextStep = 'more' | 'stop' | 'close';

/** What a student reads from a follow-up scan. */
export interface FollowUpAnswer {
  readonly openAt: Contact | null;
  readonly gapMm: number | null;
  readonly next: NextStep | null;
}

export interface FollowUpScore {
  readonly openAt: Contact | null; // the widest space there truly is; null where all contacts are closed
  readonly gapMm: number;
  readonly takenMm: number; // enamel gone at that contact
  readonly next: NextStep;
  readonly points: number;
}

const OPEN_MM = 0.1; // less cannot be felt with floss
const GAP_FULL_MM = 0.08;
const GAP_NONE_MM = 0.4;

/**
 * A student's reading of a follow-up scan against what was done: 30 points for the contact, 40 for the size of its
 * space, 30 for what comes next. Space open asks to stop and close; space still short, to cut more.
 *
 * Units:    mm; `shortMm` is what the later arch is truly still short of.
 */
export function followUpScore(answer: FollowUpAnswer, truth: ChangeTruth, shortMm: number): FollowUpScore {
  const widest = [...truth.contacts].sort((a, b) => b.separationAfterMm - a.separationAfterMm)[0];
  const isOpen = widest.separationAfterMm > OPEN_MM;
  const next: NextStep = isOpen ? 'close' : shortMm > OPEN_MM ? 'more' : 'stop';
  const isSame = (a: Contact | null) =>
    isOpen ? (a?.every((tooth) => widest.teeth.includes(tooth)) ?? false) : a === null;
  const gapMm = isOpen ? widest.separationAfterMm : 0;
  const size = answer.gapMm === null ? 0 : pointsFor(answer.gapMm - gapMm, GAP_FULL_MM, GAP_NONE_MM);
  return {
    openAt: isOpen ? widest.teeth : null,
    gapMm,
    takenMm: widest.enamelGoneMm,
    next,
    points: (isSame(answer.openAt) ? 30 : 0) + 0.4 * size + (answer.next === next ? 30 : 0),
  };
}
