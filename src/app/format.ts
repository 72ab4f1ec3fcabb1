import type { Source } from '../core/base/Source.ts';
import {
  type Contact,
  jawOf,
  type Notation,
  positionOf,
  type Tooth,
  toothLabel,
} from '../core/base/tooth.ts';
import type { MarkSite } from '../core/marks/Mark.ts';
import type { ArchForm } from '../core/measure/ArchMeasures.ts';

const MINUS = '\u2212';

/** A number as it is printed: fixed digits, a true minus sign, no minus before a rounded zero. */
export function fixed(value: number, digits = 2): string {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && Number(text) !== 0 ? `${MINUS}${text}` : text;
}

/** A signed amount: a plus sign where it adds. */
export const signed = (value: number, digits = 2): string => {
  const text = fixed(value, digits);
  return value > 0 && Number(text) !== 0 ? `+${text}` : text;
};

export const mm = (value: number | null | undefined, digits = 2): string =>
  value === null || value === undefined ? '\u2013' : fixed(value, digits);

export const sd = (value: number | null | undefined, digits = 2): string =>
  value === null || value === undefined ? '' : `\u00b1\u2009${fixed(value, digits)}`;

export const percent = (ratio: number, digits = 0): string => `${fixed(ratio * 100, digits)}\u202f%`;

export const contactLabel = ([a, b]: Contact, notation: Notation): string =>
  `${toothLabel(a, notation)}\u2013${toothLabel(b, notation)}`;

const TOOTH_NAMES = [
  'central incisor',
  'lateral incisor',
  'canine',
  'first premolar',
  'second premolar',
  'first molar',
  'second molar',
  'third molar',
];

const PRIMARY_NAMES = [
  'primary central incisor',
  'primary lateral incisor',
  'primary canine',
  'primary first molar',
  'primary second molar',
];

/** A tooth in words: "lower right canine". */
export function toothName(tooth: Tooth): string {
  const quadrant = Math.floor(tooth / 10);
  const side = quadrant % 4 === 1 || quadrant % 4 === 0 ? 'right' : 'left';
  const names = quadrant > 4 ? PRIMARY_NAMES : TOOTH_NAMES;
  return `${jawOf(tooth)} ${side} ${names[positionOf(tooth) - 1]}`;
}

export const SITE_NAMES: Readonly<Record<MarkSite, string>> = {
  mesial: 'mesial contact point',
  distal: 'distal contact point',
  cusp: 'cusp tip',
  incisal: 'middle of the incisal edge',
};

/** How far a source can be trusted, in words. */
export const STANDING_WORDS: Readonly<Record<Source['standing'], string>> = {
  published: 'published',
  secondary: 'seen in a secondary source',
  memory: 'from memory, unverified',
  practice: 'common practice, no source',
  computed: 'computed',
  user: 'entered by you',
  measured: 'measured on this scan',
};

/** A source with its standing; a measure says by itself where it comes from. */
export const sourceWords = ({ standing, text }: Source): string =>
  unbroken(standing === 'measured' ? text : `${STANDING_WORDS[standing]}: ${text}`);

export const FORM_NAMES: Readonly<Record<ArchForm, string>> = {
  spline: 'Smoothing spline',
  polynomial4: 'Polynomial, degree 4',
  polynomial6: 'Polynomial, degree 6',
  beta: 'Beta function',
  catenary: 'Catenary',
  conic: 'Conic',
};

export const jawName = (jaw: 'upper' | 'lower'): string => (jaw === 'upper' ? 'Upper arch' : 'Lower arch');

/** A text whose lines never end between a figure and its unit or its SD. */
export const unbroken = (text: string): string =>
  text.replace(/(?<=\d) (?=(?:mm|%|°)(?![\w]))|(?<=\b(?:SD|risk of|±)) (?=\d)/g, '\u00a0');

/** A text with its first letter large and a full stop at its end. */
export const sentence = (text: string): string =>
  unbroken(`${text.charAt(0).toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? '' : '.'}`);

/** "1,234,567" */
export const count = (value: number): string => value.toLocaleString('en-GB');

/** "25 November 2026": no order of figures to be mistaken. */
export const day = (date: Date): string => date.toLocaleDateString('en-GB', { dateStyle: 'long' });

/** "25 Nov 2026, 10:49" */
export const dayAndTime = (date: Date): string =>
  Number.isNaN(date.getTime())
    ? 'time unknown'
    : date.toLocaleString('en-GB', { dateStyle: 'medium', timeStyle: 'short' });

export function bytes(value: number): string {
  if (value < 1024) return `${value} B`;
  if (value < 1024 * 1024) return `${fixed(value / 1024, 0)} kB`;
  return `${fixed(value / 1024 / 1024, 1)} MB`;
}
