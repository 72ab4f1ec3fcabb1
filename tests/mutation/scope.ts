/** Rooms whose tests are tested by mutation, and the folder of their tests. */
export const ROOMS = ['measure', 'space', 'reduction'] as const;

/**
 * What one run mutates, from the words behind `npm run mutation --`: rooms, files of them, lines of a file
 * (`space/leeway.ts:70-84`); nothing: all rooms.
 */
export function mutatedPaths(words: readonly string[]): readonly string[] {
  const asked = words.length > 0 ? words : ROOMS;
  return asked.map((word) => {
    const path = word.replace(/^src\/core\//, '').replace(/\/$/, '');
    if (!ROOMS.some((room) => path === room || path.startsWith(`${room}/`)))
      throw new Error(
        `mutation: no such room or file: ${word}; need ${ROOMS.join(', ')} or a file of theirs.`,
      );
    return /\.ts(:\d+-\d+)?$/.test(path) ? path : `${path}/**/*.ts`;
  });
}

/** Experiments of seconds each; left out unless the files they are about are mutated. */
const LONG: readonly (readonly [test: string, about: RegExp])[] = [
  ['measure/archLine', /^measure\/(line\/|archLine)/],
  ['reduction/planReasons', /planReasons|bothReasons/],
  ['reduction/planBothArches', /planBothArches|jointSearch|twoArchModel|mixedInteger|ratioBands/],
  ['reduction/habitForecast', /[hH]abit|[cC]utting|clampedNormal|[fF]orecast/],
  ['reduction/remeasuredForecast', /clampedNormal|[fF]orecast/],
  ['reduction/motion/*', /motion\//],
];

/** Never: whole arches against truth, which need samples or scans, and 800 arches measured before the first test. */
const NEVER = ['*/samples', 'measure/uncertainty'];

/** Tests of the rooms mutated. */
export function testsOf(paths: readonly string[]): {
  readonly include: string[];
  readonly exclude: string[];
} {
  const rooms = ROOMS.filter((room) => paths.some((path) => path.startsWith(`${room}/`)));
  const isAsked = (about: RegExp) => paths.some((path) => path.includes('*') || about.test(path));
  return {
    include: rooms.map((room) => `tests/core/${room}/**/*.test.ts`),
    exclude: [...NEVER, ...LONG.filter(([, about]) => !isAsked(about)).map(([test]) => test)].map(
      (test) => `tests/core/${test}.test.ts`,
    ),
  };
}
