import { Refusal } from '../../src/core/base/refusal.ts';

/** The refusal a piece of work ends with; anything else thrown passes through, and no refusal is a failure. */
export async function refusalOf(work: () => unknown): Promise<Refusal> {
  try {
    await work();
  } catch (error) {
    if (error instanceof Refusal) return error;
    throw error;
  }
  throw new Error('refusalOf: the work was not refused');
}
