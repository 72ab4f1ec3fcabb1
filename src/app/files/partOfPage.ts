import { Refusal } from '../../core/base/refusal.ts';

/** A part of the page that is fetched when it is first needed. Refuses: 'file-access' where it cannot be fetched. */
export async function partOfPage<T>(fetching: Promise<T>): Promise<T> {
  try {
    return await fetching;
  } catch (error) {
    throw new Refusal(
      'file-access',
      `partOfPage: a part of this page cannot be fetched; got "${error instanceof Error ? error.message : String(error)}", need the place it was loaded from. Load the page again; the case is kept as it was saved.`,
    );
  }
}
