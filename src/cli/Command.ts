/** What a command may say while it works; results go to its return value, never here. */
export interface CommandIo {
  /** A line of progress, on stderr, and only where somebody watches. */
  readonly progress: (line: string) => void;
  /** A line the user must not miss, on stderr, always. */
  readonly warn: (line: string) => void;
}

/** A command of the command line: takes the words after its name and gives the document to print as JSON. */
export type Command = (words: readonly string[], io: CommandIo) => Promise<unknown>;

/** The command was called wrongly (exit 2); a fault in the user's files is a Refusal (exit 1). */
export class UsageError extends Error {
  constructor(message: string) {
    super(message);
    this.name = 'UsageError';
  }
}
