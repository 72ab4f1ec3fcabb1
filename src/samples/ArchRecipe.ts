import type { Contact, Jaw, Tooth } from '../core/base/tooth.ts';

/** A free gap at one contact, mm along the arch. */
export interface Gap {
  readonly teeth: Contact;
  readonly gapMm: number;
}

/** What an arch is made from. Everything not given is drawn from the seed or takes the stated default. */
export interface ArchRecipe {
  readonly jaw: Jaw;
  readonly seed: number;
  readonly crowdingMm?: number; // default 0: line shorter than the teeth by this
  readonly spacingMm?: number; // default 0: spread over the front contacts unless `gaps` are given
  readonly gaps?: readonly Gap[];
  readonly rotationsDeg?: Readonly<Record<Tooth, number>>; // about the vertical, mesial end toward buccal positive
  readonly displacementsMm?: Readonly<Record<Tooth, number>>; // toward buccal
  readonly missing?: readonly { readonly tooth: Tooth; readonly space: 'open' | 'closed' }[];
  /** Primary canines and molars that still stand in the places of their successors; default none. */
  readonly primary?: readonly Tooth[];
  /** Second molars that have not come through; default none. */
  readonly unerupted?: readonly Tooth[];
  /** Lateral incisors grown as pegs: small cones; default none. */
  readonly pegs?: readonly Tooth[];
  readonly speeMm?: number | null; // by how much the back teeth dip below the front; default null: drawn, 0.5 to 1.6
  readonly widthFactor?: number; // default 1: all widths times this
  readonly noiseMm?: number; // default 0.01: RMS of the scanner-like noise, 0 to 0.03
  readonly bridgedContacts?: boolean; // default true: narrow clefts near contacts filled by a web
  readonly pose?: 'upright' | 'any'; // default 'upright'
  readonly triangles?: number; // default 100,000; 20,000 to 1,000,000
  readonly gumMm?: number; // default 5: how far the gum is shown beyond the crowns
}

/** A recipe with nothing left open. */
export type FullRecipe = Required<ArchRecipe>;
