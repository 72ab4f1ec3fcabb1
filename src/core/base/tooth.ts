/** Which jaw an arch belongs to. Always asked for or named, never guessed silently. */
export type Jaw = 'upper' | 'lower';

/** A tooth by its ISO 3950 two-digit number: quadrant 1–4 (permanent) or 5–8 (primary), then position. */
export type Tooth = number;

/** Quadrant of a tooth, 1–8. */
export const quadrantOf = (tooth: Tooth): number => Math.floor(tooth / 10);

/** Position from the midline: 1 (central incisor) to 8 (third molar); 1–5 in primary teeth. */
export const positionOf = (tooth: Tooth): number => tooth % 10;

/** True for a permanent (11–48) or primary (51–85) ISO 3950 number. */
export function isTooth(value: number): boolean {
  if (!Number.isInteger(value)) return false;
  const quadrant = quadrantOf(value);
  const position = positionOf(value);
  if (quadrant >= 1 && quadrant <= 4) return position >= 1 && position <= 8;
  return quadrant >= 5 && quadrant <= 8 && position >= 1 && position <= 5;
}

/** Jaw of a tooth: quadrants 1, 2, 5, 6 are upper; 3, 4, 7, 8 lower. */
export function jawOf(tooth: Tooth): Jaw {
  const quadrant = quadrantOf(tooth);
  return quadrant === 1 || quadrant === 2 || quadrant === 5 || quadrant === 6 ? 'upper' : 'lower';
}

/** True on the patient's right side: quadrants 1, 4, 5, 8. */
export function isRight(tooth: Tooth): boolean {
  const quadrant = quadrantOf(tooth);
  return quadrant === 1 || quadrant === 4 || quadrant === 5 || quadrant === 8;
}

/** Permanent teeth of a jaw in order round the arch, from the patient's last right molar to the last left. */
export function archOrder(jaw: Jaw): readonly Tooth[] {
  const [right, left] = jaw === 'upper' ? [10, 20] : [40, 30];
  const positions = [1, 2, 3, 4, 5, 6, 7, 8];
  return [...positions.map((p) => right + p).reverse(), ...positions.map((p) => left + p)];
}

/** The permanent tooth of a tooth's place: the successor of a primary tooth; a permanent tooth itself. */
export const permanentOf = (tooth: Tooth): Tooth => (quadrantOf(tooth) > 4 ? tooth - 40 : tooth);

/** The primary tooth that a permanent one follows; null for permanent molars. */
export const primaryOf = (tooth: Tooth): Tooth | null =>
  quadrantOf(tooth) <= 4 && positionOf(tooth) <= 5 ? tooth + 40 : null;

/**
 * Place of a tooth along the arch for sorting: negative on the patient's right, positive on the left,
 * growing from right to left; a primary tooth sorts with the permanent tooth of its position.
 */
export const archPlace = (tooth: Tooth): number => (isRight(tooth) ? -positionOf(tooth) : positionOf(tooth));

/** A contact: two neighbours, the one further to the patient's right first. */
export type Contact = readonly [Tooth, Tooth];

/** Neighbouring pairs among the teeth present, in order round the arch from the patient's right to left. */
export function contactsOf(teeth: readonly Tooth[]): readonly Contact[] {
  const ordered = [...teeth].sort((a, b) => archPlace(a) - archPlace(b));
  return ordered.slice(1).map((tooth, i) => [ordered[i], tooth] as const);
}

/** Which site of `tooth` faces `neighbour`: mesial toward the midline, distal away from it. */
export function siteFacing(tooth: Tooth, neighbour: Tooth): 'mesial' | 'distal' {
  if (isRight(tooth) !== isRight(neighbour)) return 'mesial';
  return positionOf(neighbour) < positionOf(tooth) ? 'mesial' : 'distal';
}

export type Notation = 'iso' | 'universal' | 'palmer';

/**
 * A tooth as a label. Stored form is always ISO 3950; Universal and Palmer are display options.
 * Source: ISO 3950; Universal rule (computed, checked at its ends): q1 9−n, q2 8+n, q3 25−n, q4 24+n; primary letters A–T.
 */
export function toothLabel(tooth: Tooth, notation: Notation = 'iso'): string {
  if (notation === 'iso') return String(tooth);
  const q = quadrantOf(tooth);
  const n = positionOf(tooth);
  if (notation === 'universal') {
    if (q <= 4) return String([9 - n, 8 + n, 25 - n, 24 + n][q - 1]);
    return 'ABCDEFGHIJKLMNOPQRST'[[6 - n, 5 + n, 16 - n, 15 + n][q - 5] - 1];
  }
  const sign = q <= 4 ? String(n) : 'ABCDE'[n - 1];
  const corner = ['┘', '└', '┌', '┐'][(q - 1) % 4];
  return q % 4 === 1 || q % 4 === 0 ? `${sign}${corner}` : `${corner}${sign}`;
}
