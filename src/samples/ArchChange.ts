import type { Contact } from '../core/base/tooth.ts';

/** Enamel taken at one contact, from each of its two teeth in the order named; mm. */
export interface ContactCut {
  readonly teeth: Contact;
  readonly goneMm: readonly [number, number];
}

/** What happens to an arch between two scans. The molars stand still; what is not given takes the stated default. */
export interface ArchChange {
  readonly cuts: readonly ContactCut[];
  /** Contacts where space left over stays open, in equal shares; default the midline. */
  readonly openAt?: readonly Contact[];
  /** 0 to 1: share of the recipe's own turns and displacements that is left; default 0. */
  readonly turnsLeft?: number;
  readonly settleMm?: number; // default 0.12: SD by which each moved tooth comes out of or goes into the gum
  readonly settleDeg?: number; // default 1: SD by which each moved tooth tips, both ways
  readonly seed?: number; // of settling, later pose and noise; default the recipe's plus 1
  readonly noiseMm?: number; // of the later scan; default the recipe's
  readonly triangles?: number; // of the later scan; default the recipe's
  readonly pose?: 'upright' | 'any'; // of the later scan; default 'any'
}

/** The same amount from both teeth of each contact; amounts are per contact, mm. */
export const evenCuts = (amounts: readonly (readonly [Contact, number])[]): readonly ContactCut[] =>
  amounts.map(([teeth, mm]) => ({ teeth, goneMm: [mm / 2, mm / 2] }));
