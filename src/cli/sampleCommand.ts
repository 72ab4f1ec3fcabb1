import { Refusal } from '../core/base/refusal.ts';
import { sampleNames, writeSample } from '../samples/sampleCommand.ts';
import { type Command, UsageError } from './Command.ts';
import { commandWords } from './commandWords.ts';

const OPTIONS = { seed: { type: 'string' }, out: { type: 'string' } } as const;

/**
 * `sample NAME --out DIR` or `sample --seed N --out DIR`: writes a sample arch and its truth; gives their paths.
 * Refuses: 'file-access' (the folder cannot be written).
 */
export const sampleCommand: Command = async (words, { progress }) => {
  const bySeed = words.some((word) => word === '--seed' || word.startsWith('--seed='));
  const { values, positionals } = commandWords(words, OPTIONS, bySeed ? [] : ['NAME or --seed N']);
  if (values.out === undefined || values.out === '') throw new UsageError('--out DIR is missing');
  if (values.seed !== undefined && !/^\d{1,9}$/.test(values.seed))
    throw new UsageError(`--seed is "${values.seed}", need a whole number`);
  if (!bySeed && !sampleNames.includes(positionals[0]))
    throw new UsageError(`there is no sample "${positionals[0]}", need ${sampleNames.join(', ')}`);
  const wanted = values.seed === undefined ? positionals[0] : Number(values.seed);
  progress(`making sample ${wanted}`);
  try {
    return { files: await writeSample(wanted, values.out) };
  } catch (error) {
    if ((error as NodeJS.ErrnoException).syscall === undefined) throw error;
    throw new Refusal(
      'file-access',
      `sampleCommand: the sample cannot be written; got ${(error as Error).message}, need a folder that can be written. Choose another --out.`,
      { path: values.out },
    );
  }
};
