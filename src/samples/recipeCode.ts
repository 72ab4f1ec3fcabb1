import { Refusal } from '../core/base/refusal.ts';
import { archOrder, archPlace, isTooth, type Tooth } from '../core/base/tooth.ts';
import type { ArchRecipe, FullRecipe, Gap } from './ArchRecipe.ts';
import { fullRecipe } from './fullRecipe.ts';
import { hash32 } from './random.ts';

const VERSION = 1;
const LONGEST = 400; // characters; a code with every tooth turned and displaced is shorter

/** One kind of part: a letter, then what its pattern takes; how it is written and what it adds to a recipe. */
interface Part {
  readonly pattern: RegExp;
  readonly write: (recipe: FullRecipe) => readonly string[];
  readonly read: (match: RegExpExecArray, into: Draft) => void;
}

type Draft = { -readonly [K in keyof ArchRecipe]: ArchRecipe[K] };

const steps = (value: number, perUnit: number): number => Math.round(value * perUnit);
const signed = (n: number): string => `${n < 0 ? 'M' : 'P'}${Math.abs(n)}`;
const unsigned = (sign: string, digits: string): number => (sign === 'M' ? -1 : 1) * Number(digits);

/** A number that is left out where it has its default. */
const amount = (
  letter: string,
  perUnit: number,
  key: 'crowdingMm' | 'spacingMm' | 'noiseMm' | 'widthFactor' | 'triangles' | 'gumMm',
): Part => ({
  pattern: new RegExp(`^${letter}(\\d{1,5})$`),
  write: (recipe) =>
    steps(recipe[key], perUnit) === steps(fullRecipe({ jaw: recipe.jaw, seed: 0 })[key], perUnit)
      ? []
      : [`${letter}${steps(recipe[key], perUnit)}`],
  read: ([, digits], into) => {
    into[key] = Number(digits) / perUnit;
  },
});

const perTooth = (letter: string, perUnit: number, key: 'rotationsDeg' | 'displacementsMm'): Part => ({
  pattern: new RegExp(`^${letter}(\\d\\d)([PM])(\\d{1,3})$`),
  write: (recipe) =>
    Object.entries(recipe[key])
      .map(([tooth, value]) => [Number(tooth), steps(value, perUnit)] as const)
      .filter(([, n]) => n !== 0)
      .sort(([a], [b]) => a - b)
      .map(([tooth, n]) => `${letter}${tooth}${signed(n)}`),
  read: ([, tooth, sign, digits], into) => {
    into[key] = { ...into[key], [Number(tooth)]: unsigned(sign, digits) / perUnit };
  },
});

const teeth = (letter: string, key: 'primary' | 'unerupted' | 'pegs'): Part => ({
  pattern: new RegExp(`^${letter}(\\d\\d)$`),
  write: (recipe) => [...recipe[key]].sort((a, b) => a - b).map((tooth) => `${letter}${tooth}`),
  read: ([, tooth], into) => {
    into[key] = [...(into[key] ?? []), Number(tooth)];
  },
});

const missing = (letter: string, space: 'open' | 'closed'): Part => ({
  pattern: new RegExp(`^${letter}(\\d\\d)$`),
  write: (recipe) =>
    recipe.missing
      .filter((one) => one.space === space)
      .map(({ tooth }) => tooth)
      .sort((a, b) => a - b)
      .map((tooth) => `${letter}${tooth}`),
  read: ([, tooth], into) => {
    into.missing = [...(into.missing ?? []), { tooth: Number(tooth), space }];
  },
});

const inRow = (a: Gap, b: Gap): number =>
  archPlace(a.teeth[0]) - archPlace(b.teeth[0]) || archPlace(a.teeth[1]) - archPlace(b.teeth[1]);

/** All parts, in the order in which a code has them. */
const PARTS: readonly Part[] = [
  amount('C', 10, 'crowdingMm'),
  amount('S', 10, 'spacingMm'),
  {
    pattern: /^G(\d\d)(\d\d)P(\d{1,3})$/,
    write: (recipe) =>
      [...recipe.gaps].sort(inRow).map(({ teeth: [a, b], gapMm }) => `G${a}${b}P${steps(gapMm, 10)}`),
    read: ([, a, b, digits], into) => {
      into.gaps = [...(into.gaps ?? []), { teeth: [Number(a), Number(b)], gapMm: Number(digits) / 10 }];
    },
  },
  perTooth('R', 1, 'rotationsDeg'),
  perTooth('D', 10, 'displacementsMm'),
  missing('O', 'open'),
  missing('Q', 'closed'),
  teeth('K', 'primary'),
  teeth('V', 'unerupted'),
  teeth('E', 'pegs'),
  {
    pattern: /^Y(\d{1,2})$/,
    write: ({ speeMm }) => (speeMm === null ? [] : [`Y${steps(speeMm, 10)}`]),
    read: ([, digits], into) => {
      into.speeMm = Number(digits) / 10;
    },
  },
  amount('W', 1000, 'widthFactor'),
  amount('N', 1000, 'noiseMm'),
  {
    pattern: /^B$/,
    write: ({ bridgedContacts }) => (bridgedContacts ? [] : ['B']),
    read: (_, into) => {
      into.bridgedContacts = false;
    },
  },
  {
    pattern: /^X$/,
    write: ({ pose }) => (pose === 'any' ? ['X'] : []),
    read: (_, into) => {
      into.pose = 'any';
    },
  },
  amount('T', 0.001, 'triangles'),
  amount('H', 10, 'gumMm'),
];

const check = (body: string): string => {
  let state = hash32(body.length);
  for (const letter of body) state = hash32(state ^ letter.charCodeAt(0));
  return (state % 36 ** 4).toString(36).toUpperCase().padStart(4, '0');
};

/**
 * An arch recipe as a short code to be shared as text: version, jaw and seed, what departs from the defaults,
 * four signs that find out a slip of the pen. Numbers go by the steps of the sliders: 0.1 mm, 1°, 1 µm of
 * noise, 1000 triangles.
 */
export function recipeCode(recipe: ArchRecipe): string {
  const full = fullRecipe(recipe);
  const parts = [
    `A${VERSION}`,
    `${full.jaw === 'lower' ? 'L' : 'U'}${full.seed}`,
    ...PARTS.flatMap((part) => part.write(full)),
  ];
  const body = parts.join('-');
  return `${body}-Z${check(body)}`;
}

const refuse = (what: string, got: string, need: string): Refusal =>
  new Refusal(
    'field-invalid',
    `recipeFromCode: ${what}; got "${got.slice(0, 40)}", need ${need}. Copy the whole code again.`,
    { field: 'code' },
  );

/**
 * The recipe of a code. Spaces round it and small letters do no harm.
 *
 * Refuses:  'schema-newer' for a code of a later version; 'field-invalid' for anything damaged, out of order or
 *           that cannot be an arch.
 */
export function recipeFromCode(text: string): ArchRecipe {
  const code = text.trim().toUpperCase();
  const version = /^A(\d{1,3})-/.exec(code);
  if (!version || code.length > LONGEST)
    throw refuse('this is no code of an arch', code, 'one that begins with A1-');
  if (Number(version[1]) > VERSION)
    throw new Refusal(
      'schema-newer',
      `recipeFromCode: the code is of a newer version; got ${version[1]}, need at most ${VERSION}. Use a newer program.`,
      { found: Number(version[1]), known: VERSION },
    );
  const end = code.lastIndexOf('-Z');
  if (end < 0 || check(code.slice(0, end)) !== code.slice(end + 2))
    throw refuse('the code is damaged or cut short', code, 'one whose last four signs fit the rest');
  const [, place, ...words] = code.slice(0, end).split('-');
  const start = /^([LU])(\d{1,9})$/.exec(place ?? '');
  if (!start) throw refuse('jaw and number are missing', place ?? '', 'L or U and a whole number');
  const draft: Draft = { jaw: start[1] === 'L' ? 'lower' : 'upper', seed: Number(start[2]) };
  for (const word of words) {
    const part = PARTS.find(({ pattern }) => pattern.test(word));
    if (!part) throw refuse('a part is unknown', word, 'parts of this version');
    part.read(part.pattern.exec(word)!, draft);
  }
  const recipe = fittingRecipe(draft);
  // a code that says a thing twice, out of order or at its default is not one that was written here
  if (recipeCode(recipe) !== code)
    throw refuse('parts stand twice or out of order', code, recipeCode(recipe));
  return recipe;
}

function fittingRecipe(recipe: ArchRecipe): ArchRecipe {
  const own = new Set<Tooth>([...archOrder(recipe.jaw)]);
  const named = [
    ...Object.keys({ ...recipe.rotationsDeg, ...recipe.displacementsMm }).map(Number),
    ...(recipe.gaps ?? []).flatMap((gap) => gap.teeth),
  ];
  const stranger = named.find((tooth) => !isTooth(tooth) || !own.has(tooth > 50 ? tooth - 40 : tooth));
  if (stranger !== undefined)
    throw refuse('a tooth is not of this arch', String(stranger), `teeth of the ${recipe.jaw} jaw`);
  fullRecipe(recipe);
  return recipe;
}
