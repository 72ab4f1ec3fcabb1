import fc from 'fast-check';
import { afterAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { keepAside, remember, remembered } from '../../../src/app/storage/pageMemory.ts';
import { forgetUnsaved, noteUnsaved, recoverUnsaved } from '../../../src/app/storage/unsavedWork.ts';
import { Refusal } from '../../../src/core/base/refusal.ts';
import type { CaseDocument } from '../../../src/core/casefile/CaseDocument.ts';
import { caseJson } from '../../../src/core/casefile/documentJson.ts';
import { fullCase } from '../../core/casefile/arbitraryCase.ts';
import { edited, edits, FUZZ_TIMEOUT_MS, fuzzRuns } from '../../support/fuzz.ts';

const KEY = 'archledger.unsaved';

/** The browser's small storage, as Node lacks it; `barred` as where the user forbids it. */
class SmallStorage {
  readonly texts = new Map<string, string>();
  barred = false;
  getItem(key: string): string | null {
    if (this.barred) throw new DOMException('barred', 'SecurityError');
    return this.texts.get(key) ?? null;
  }
  setItem(key: string, text: string): void {
    if (this.barred || text.length > 5_000_000) throw new DOMException('full', 'QuotaExceededError');
    this.texts.set(key, text);
  }
  removeItem(key: string): void {
    if (this.barred) throw new DOMException('barred', 'SecurityError');
    this.texts.delete(key);
  }
}

/** Cases by id, with the guard of revisions that the real store has. */
function makeStore(kept: readonly (readonly [CaseDocument, number])[] = []) {
  const cases = new Map(kept.map(([document, revision]) => [document.id, { document, revision }]));
  return {
    cases,
    async find(id: string) {
      const found = cases.get(id);
      return found
        ? { id, title: found.document.title, savedAt: '', revision: found.revision, jaws: [] }
        : null;
    },
    async rawText(id: string) {
      const found = cases.get(id);
      return found ? caseJson(found.document) : null;
    },
    async save(document: CaseDocument, seen: number | null) {
      if ((cases.get(document.id)?.revision ?? null) !== seen) throw new Error('stale');
      cases.set(document.id, { document, revision: (seen ?? 0) + 1 });
      return (seen ?? 0) + 1;
    },
  };
}

let small = new SmallStorage();
beforeEach(() => {
  small = new SmallStorage();
  vi.stubGlobal('localStorage', small);
});
afterAll(() => vi.unstubAllGlobals());

const titled = (title: string): CaseDocument => ({ ...fullCase(), title });
const newId = () => 'new-id';

describe('work noted as the page was closed', () => {
  it('is saved at the next start, once', async () => {
    const store = makeStore([[titled('before'), 4]]);
    expect(noteUnsaved(titled('after'), 4)).toBe(true);
    expect(await recoverUnsaved(store, newId)).toEqual({ kind: 'saved' });
    expect(store.cases.get(fullCase().id)).toEqual({ document: titled('after'), revision: 5 });
    expect(await recoverUnsaved(store, newId)).toEqual({ kind: 'none' });
  });

  it('of a case never saved is saved as the first revision', async () => {
    const store = makeStore();
    noteUnsaved(titled('new'), null);
    expect(await recoverUnsaved(store, newId)).toEqual({ kind: 'saved' });
    expect(store.cases.get(fullCase().id)?.revision).toBe(1);
  });

  it('that was saved in time is nothing more to do', async () => {
    const store = makeStore([[titled('after'), 5]]);
    noteUnsaved(titled('after'), 4);
    expect(await recoverUnsaved(store, newId)).toEqual({ kind: 'kept' });
    expect(store.cases.get(fullCase().id)?.revision).toBe(5);
    expect(small.texts.size).toBe(0);
  });

  it('never overwrites what another tab saved or deleted since', async () => {
    for (const kept of [[[titled('theirs'), 9]], []] as const) {
      const store = makeStore(kept);
      noteUnsaved(titled('mine'), 4);
      const title = 'mine (not saved before)';
      expect(await recoverUnsaved(store, newId)).toEqual({ kind: 'beside', id: 'new-id', title });
      expect(store.cases.get('new-id')?.document.title).toBe(title);
      if (kept.length > 0)
        expect(store.cases.get(fullCase().id)).toEqual({ document: titled('theirs'), revision: 9 });
    }
  });

  it('stays where it could not be saved, and only its own page forgets it', async () => {
    const full = { ...makeStore(), save: () => Promise.reject(new Refusal('storage-failed', 'full')) };
    noteUnsaved(titled('mine'), null);
    await expect(recoverUnsaved(full, newId)).rejects.toThrow('full');
    expect(small.texts.has(KEY)).toBe(true);
    forgetUnsaved();
    expect(small.texts.has(KEY)).toBe(false);
    small.texts.set(KEY, 'of another page');
    forgetUnsaved();
    expect(small.texts.get(KEY)).toBe('of another page');
  });

  it('damaged, is put aside whole or read as a case; nothing is dropped', {
    timeout: FUZZ_TIMEOUT_MS,
  }, async () => {
    noteUnsaved(titled('mine'), null);
    const whole = new TextEncoder().encode(small.texts.get(KEY));
    await fc.assert(
      fc.asyncProperty(
        fc.oneof(
          edits.map((changes) => new TextDecoder().decode(edited(whole, changes, whole))),
          fc.string(),
          fc.json(),
        ),
        async (text) => {
          small.texts.clear();
          small.texts.set(KEY, text);
          const store = makeStore();
          const { kind } = await recoverUnsaved(store, newId);
          if (kind === 'unreadable') expect(small.texts.get(`${KEY}.unreadable`)).toBe(text);
          else expect([kind, store.cases.size]).toEqual([kind, 1]);
          expect(small.texts.has(KEY)).toBe(false);
        },
      ),
      fuzzRuns(400),
    );
  });

  it('is not noted where storage is barred or full, and nothing fails', async () => {
    small.barred = true;
    expect(noteUnsaved(titled('mine'), null)).toBe(false);
    expect(await recoverUnsaved(makeStore(), newId)).toEqual({ kind: 'none' });
    expect([remembered('a'), remember('a', 'b'), remember('a', null)]).toEqual([null, false, false]);
    keepAside('a');
    forgetUnsaved();
  });
});

describe('small things kept by the browser', () => {
  it('lesson scores that cannot be read are put aside and told of; those that can are taken', {
    timeout: FUZZ_TIMEOUT_MS,
  }, async () => {
    const LESSONS = 'archledger.lessons';
    const good = JSON.stringify({ progress: { account: { best: 80, tries: 2 } } });
    const read = async (text: string) => {
      vi.resetModules();
      small.texts.clear();
      small.texts.set(LESSONS, text);
      const { useLessons } = await import('../../../src/app/lessons/lessonStore.ts');
      const { useFiles } = await import('../../../src/app/files/fileStore.ts');
      return { progress: useLessons.getState().progress, remarks: useFiles.getState().remarks };
    };
    const first = await read(good);
    expect([Object.keys(first.progress).length, first.remarks]).toEqual([1, []]);
    const bytes = new TextEncoder().encode(good);
    await fc.assert(
      fc.asyncProperty(
        fc.oneof(
          edits.map((changes) => new TextDecoder().decode(edited(bytes, changes, bytes))),
          fc.json(),
        ),
        async (text) => {
          const { progress, remarks } = await read(text);
          for (const { best, tries } of Object.values(progress)) {
            expect(best).toBeGreaterThanOrEqual(0);
            expect(best).toBeLessThanOrEqual(100);
            expect(Number.isInteger(tries)).toBe(true);
          }
          const isAside = small.texts.get(`${LESSONS}.unreadable`) === text;
          expect(isAside).toBe(remarks.length > 0);
          expect(isAside || small.texts.get(LESSONS) === text).toBe(true);
        },
      ),
      { ...fuzzRuns(60), numRuns: Math.min(fuzzRuns(60).numRuns, 500) },
    );
  });

  it('a start of the operator’s record that is no time counts as none', async () => {
    const SINCE = 'archledger.operatorSince';
    const { operatorSince, beginOperatorRecord } = await import('../../../src/app/visits/operatorSince.ts');
    expect(operatorSince()).toBeNull();
    for (const text of ['', 'zzz', 'null', '2026', '2026-13-01T00:00:00.000Z', '9e99', '<b>']) {
      small.texts.set(SINCE, text);
      expect(operatorSince(), text).toBeNull();
    }
    expect(beginOperatorRecord()).toBe(true);
    expect(operatorSince()).toBe(small.texts.get(SINCE));
    small.barred = true;
    expect([beginOperatorRecord(), operatorSince()]).toEqual([false, null]);
  });
});
