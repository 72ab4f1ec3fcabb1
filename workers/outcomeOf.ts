import { type Outcome, Refusal } from '../src/core/base/refusal.ts';

/** Runs a piece of work and turns a refusal into a value, which survives the way between threads; a bug is thrown on. */
export async function outcomeOf<T>(work: () => T | Promise<T>): Promise<Outcome<T>> {
  try {
    return { ok: true, value: await work() };
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    return { ok: false, code: error.code, message: error.message, detail: error.detail };
  }
}
