import { z } from 'zod';
import { Refusal } from '../../core/base/refusal.ts';
import type { CaseDocument } from '../../core/casefile/CaseDocument.ts';
import { caseJson } from '../../core/casefile/documentJson.ts';
import { readDocument } from '../../core/casefile/readDocument.ts';
import type { CaseStore } from './caseStore.ts';
import { keepAside, remember, remembered } from './pageMemory.ts';

const KEY = 'archledger.unsaved';

/** True once this page has taken a note: one of an earlier page is not this one's to forget. */
let hasNoted = false;

const schema = z.strictObject({ revision: z.int().min(1).nullable(), json: z.string() });

/**
 * Notes work that is not saved yet while the page is being closed: IndexedDB answers too late for that, this note is
 * taken at once. False where it does not fit, or could not be read again.
 */
export function noteUnsaved(document: CaseDocument, seenRevision: number | null): boolean {
  try {
    const note = JSON.stringify({ revision: seenRevision, json: caseJson(document) });
    const isNoted = remember(KEY, note);
    hasNoted ||= isNoted;
    return isNoted;
  } catch (error) {
    if (error instanceof Refusal) return false;
    throw error;
  }
}

/** The work this page noted is saved, or given up by the user. */
export function forgetUnsaved(): void {
  if (hasNoted) remember(KEY, null);
  hasNoted = false;
}

/** What became of work noted when the page was closed: none; already kept; saved now; kept as a case of its own. */
export type Recovered =
  | { readonly kind: 'none' | 'kept' | 'saved' }
  | { readonly kind: 'beside'; readonly id: string; readonly title: string }
  | { readonly kind: 'unreadable' };

/**
 * Saves work that was noted as the page was closed. Where its case was saved by another tab since, it becomes a case
 * of its own beside that; a note that cannot be read is put aside.
 *
 * Refuses:  as CaseStore.save; the note then stays.
 */
export async function recoverUnsaved(
  store: Pick<CaseStore, 'find' | 'rawText' | 'save'>,
  newId: () => string,
): Promise<Recovered> {
  const text = remembered(KEY);
  if (text === null) return { kind: 'none' };
  const note = readNote(text);
  if (!note) {
    keepAside(KEY);
    return { kind: 'unreadable' };
  }
  const { document, revision } = note;
  const recovered = await keep(store, document, revision, newId);
  remember(KEY, null);
  return recovered;
}

async function keep(
  store: Pick<CaseStore, 'find' | 'rawText' | 'save'>,
  document: CaseDocument,
  revision: number | null,
  newId: () => string,
): Promise<Recovered> {
  const kept = await store.find(document.id);
  if ((kept?.revision ?? null) === revision) {
    await store.save(document, revision);
    return { kind: 'saved' };
  }
  if (kept && (await store.rawText(document.id)) === caseJson(document)) return { kind: 'kept' };
  const title = `${document.title.slice(0, 450) || 'Untitled case'} (not saved before)`;
  const beside = { ...document, id: newId(), title };
  await store.save(beside, null);
  return { kind: 'beside', id: beside.id, title };
}

function readNote(text: string): { document: CaseDocument; revision: number | null } | null {
  try {
    const { revision, json } = schema.parse(JSON.parse(text));
    return { document: readDocument(json, 'case'), revision };
  } catch (error) {
    if (error instanceof Refusal || error instanceof SyntaxError || error instanceof z.ZodError) return null;
    throw error;
  }
}
