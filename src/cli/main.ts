import { Refusal } from '../core/base/refusal.ts';
import { type Command, UsageError } from './Command.ts';

const USAGE = `Usage: npm run -s cli -- COMMAND

  measure SCAN --jaw upper|lower [--marks FILE] [--teeth 17-27] [--missing 12,22] [--primary 75,85] [--unit mm|cm|m|in|um]
      Measures one arch from a scan (STL, PLY, OBJ) and its marks. Without --marks the marks are proposed
      from the surface, and what is doubtful is among the warnings. Teeth outside --teeth and those of
      --missing are taken as not in the scan.
  plan REQUEST.json [--shift-right MM]
      Plans the reduction a request asks for; --shift-right moves the middle of the arch as far as that goes with
      the need and its limits (negative: left; 0: the same on both sides).
  plan --case CASE.json
      Plans the arches of a case, together where the case says so.
  study PAIRS.csv --columns a,b [--by tooth]
      Agreement of two columns of any CSV: pooled, and for each value of the column --by. Difference = first −
      second. Missing values are left out and counted on stderr.
  batch MANIFEST.csv --out DIR [--jobs N] [--part I/N]
      Measures every scan of a manifest (columns scan and jaw; marks, missing, unit, teeth, case where wanted) on N
      threads. Started again it keeps what is done. --part does every N-th case, for several machines.
  batch --merge DIR... --out DIR
      Brings the results of several folders together.
  sample NAME|--seed N --out DIR
      Makes a sample arch with its truth.

JSON on stdout; progress and errors on stderr. Exit 0: done, 1: refused, 2: wrong usage, 3: a fault of the program.`;

/** Commands are loaded when called, so that a refusal comes quickly. */
const COMMANDS: Readonly<Record<string, () => Promise<Command>>> = {
  measure: async () => (await import('./measureCommand.ts')).measureCommand,
  plan: async () => (await import('./planCommand.ts')).planCommand,
  study: async () => (await import('./studyCommand.ts')).studyCommand,
  batch: async () => (await import('./batchCommand.ts')).batchCommand,
  sample: async () => (await import('./sampleCommand.ts')).sampleCommand,
};

/** Runs a command line and gives its exit code. */
async function run([name, ...words]: readonly string[]): Promise<number> {
  if (name === '--help' || name === '-h' || name === 'help') {
    console.log(USAGE);
    return 0;
  }
  try {
    if (name === undefined) throw new UsageError('no command was given');
    if (!Object.hasOwn(COMMANDS, name)) throw new UsageError(`there is no command "${name}"`);
    const command = await COMMANDS[name]();
    const progress = (line: string): void => {
      if (process.stderr.isTTY) console.error(line);
    };
    const result = await command(words, { progress, warn: (line) => console.error(line) });
    await written(`${JSON.stringify(result, null, 2)}\n`);
    return 0;
  } catch (error) {
    if (error instanceof UsageError) {
      console.error(`wrong usage: ${error.message}\n\n${USAGE}`);
      return 2;
    }
    if (error instanceof Refusal) {
      console.error(`refused ${error.code}: ${error.message}`);
      return 1;
    }
    // Neither the user's files nor the call: a fault of the program, which must not pass for a refusal.
    console.error(`fault in Archledger: ${error instanceof Error ? error.stack : String(error)}`);
    return 3;
  }
}

/** Resolves when stdout took everything; a closed pipe (`| head`) is no fault. */
const written = (text: string): Promise<void> =>
  new Promise((resolve, reject) => {
    process.stdout.once('error', (error: NodeJS.ErrnoException) =>
      error.code === 'EPIPE' ? resolve() : reject(error),
    );
    process.stdout.write(text, () => resolve());
  });

process.exitCode = await run(process.argv.slice(2));
