import { type ParseArgsConfig, parseArgs } from 'node:util';
import { Refusal } from '../core/base/refusal.ts';
import {
  archOrder,
  isTooth,
  type Jaw,
  jawOf,
  permanentOf,
  quadrantOf,
  type Tooth,
} from '../core/base/tooth.ts';
import { UsageError } from './Command.ts';

/**
 * Options and files among a command's words; anything unknown, missing or left over is wrong usage. A last file named
 * `…` stands for any number of further ones.
 */
export function commandWords<Options extends NonNullable<ParseArgsConfig['options']>>(
  words: readonly string[],
  options: Options,
  files: readonly string[],
) {
  const parsed = (() => {
    try {
      return parseArgs({ args: [...words], options, allowPositionals: true, strict: true });
    } catch (error) {
      throw new UsageError((error as Error).message);
    }
  })();
  const { positionals } = parsed;
  const isOpen = files.at(-1) === '…';
  const need = isOpen ? files.length - 1 : files.length;
  if (positionals.length < need) throw new UsageError(`${files[positionals.length]} is missing`);
  if (!isOpen && positionals.length > need)
    throw new UsageError(`one word too many: ${positionals[files.length]}`);
  return parsed;
}

/** One of a few words. */
export function oneOf<T extends string>(option: string, value: string | undefined, allowed: readonly T[]): T {
  const found = allowed.find((word) => word === value);
  if (found !== undefined) return found;
  throw new UsageError(
    `${option} is ${value === undefined ? 'missing' : `"${value}"`}, need ${allowed.join(' or ')}`,
  );
}

const toothOf = (option: string, text: string, jaw: Jaw): Tooth => {
  if (!/^\d{2}$/.test(text)) throw new UsageError(`${option}: "${text}" is no two-digit tooth number`);
  const tooth = Number(text);
  if (!isTooth(tooth))
    throw new Refusal(
      'tooth-unknown',
      `${option}: there is no such tooth; got ${text}, need an ISO 3950 number. Correct the number.`,
      { tooth },
    );
  if (jawOf(tooth) !== jaw)
    throw new Refusal(
      'jaw-mismatch',
      `${option}: the tooth is of the other jaw; got ${text}, need a tooth of the ${jaw} jaw. Correct the number or --jaw.`,
      { tooth, jaw },
    );
  return tooth;
};

/** Tooth numbers as in `12,22`. Refuses: 'tooth-unknown', 'jaw-mismatch'. */
export const toothList = (option: string, text: string, jaw: Jaw): readonly Tooth[] =>
  text.split(',').map((part) => toothOf(option, part.trim(), jaw));

/** Primary teeth that stand, as in `75,85`. Refuses: as toothList. */
export function primaryList(option: string, text: string, jaw: Jaw): readonly Tooth[] {
  const teeth = toothList(option, text, jaw);
  const permanent = teeth.find((tooth) => quadrantOf(tooth) <= 4);
  if (permanent !== undefined)
    throw new UsageError(`${option}: ${permanent} is no primary tooth, need such as 75,85`);
  return [...new Set(teeth)];
}

/** Nothing may be said of a tooth and against it: a tooth gone for good has no place that is kept for it. */
export function checkPrimary(option: string, primary: readonly Tooth[], missing: readonly Tooth[]): void {
  const both = primary.find((tooth) => missing.includes(tooth) || missing.includes(permanentOf(tooth)));
  if (both !== undefined)
    throw new UsageError(
      `${option}: ${both} is said to stand, and it or ${permanentOf(both)} to be missing, need one of the two`,
    );
}

/** Permanent teeth from one tooth round the arch to another, as in `17-27`, either end first. Refuses: as toothList. */
export function toothRange(option: string, text: string, jaw: Jaw): readonly Tooth[] {
  const ends = text.split('-').map((part) => part.trim());
  if (ends.length !== 2) throw new UsageError(`${option}: "${text}" is no range like 17-27`);
  const order = archOrder(jaw);
  const [a, b] = ends.map((end) => order.indexOf(toothOf(option, end, jaw)));
  if (a < 0 || b < 0) throw new UsageError(`${option}: a range is given by permanent teeth, as in 17-27`);
  return order.slice(Math.min(a, b), Math.max(a, b) + 1);
}
