import { type BrowserContext, expect, type Page, test } from '@playwright/test';
import { build } from 'vite';
import type { Autosave, SaveState } from '../../src/app/storage/autosave.ts';
import type { CaseChange, CaseStore } from '../../src/app/storage/caseStore.ts';
import type { CaseDocument } from '../../src/core/casefile/CaseDocument.ts';
import { fullCase } from '../core/casefile/arbitraryCase.ts';

/** What the bundled storage puts on the page for these tests. */
interface Bundle {
  readonly CaseStore: typeof CaseStore;
  readonly Autosave: typeof Autosave;
}
declare global {
  interface Window {
    storage: Bundle;
    store: CaseStore;
    autosave: Autosave;
    states: SaveState[];
    changes: CaseChange[];
  }
}

let script = '';

test.beforeAll(async () => {
  const output = await build({
    configFile: false,
    logLevel: 'error',
    build: {
      write: false,
      minify: false,
      lib: { entry: 'tests/support/storageBundle.ts', formats: ['iife'], name: 'storage' },
    },
  });
  const first = Array.isArray(output) ? output[0] : output;
  if (!('output' in first)) throw new Error('the bundle was not made');
  script = `${first.output[0].code}\nwindow.storage = storage;`;
});

/** An empty page of the app's own origin with the storage on it. */
async function blankPage(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  await page.route('**/blank.html', (route) =>
    route.fulfill({ contentType: 'text/html', body: '<!doctype html><title>blank</title>' }),
  );
  await page.goto('blank.html');
  await page.addScriptTag({ content: script });
  return page;
}

async function openStore(context: BrowserContext): Promise<Page> {
  const page = await blankPage(context);
  await page.evaluate(async () => {
    window.store = await window.storage.CaseStore.open();
  });
  return page;
}

/** A refusal as data; an evaluate cannot return an error with its code. */
const refusalOf = (page: Page, work: string): Promise<{ code: string; reason: string; message: string }> =>
  page.evaluate(async (text) => {
    try {
      await new Function(`return (async () => { ${text} })()`)();
    } catch (error) {
      const { code, detail, message } = error as {
        code: string;
        detail: { reason: string };
        message: string;
      };
      return { code, reason: detail?.reason, message };
    }
    return { code: 'none', reason: 'none', message: 'it was not refused' };
  }, work);

const save = (page: Page, document: CaseDocument, seen: number | null, scanBytes = 0): Promise<number> =>
  page.evaluate(
    async ([wanted, revision, size]) => {
      const { scan } = wanted.arches.lower!;
      const bytes = new Uint8Array(size).map((_, i) => i % 251).buffer;
      const scans = size > 0 ? [{ sha256: scan.sha256, file: scan.file, bytes }] : [];
      return window.store.save(wanted, revision, scans);
    },
    [document, seen, scanBytes] as const,
  );

test('a case and its scan come back to the bit after a reload', async ({ context }) => {
  const document = fullCase();
  const page = await openStore(context);
  expect(await save(page, document, null, 300_000)).toBe(1);
  await page.close();

  const again = await openStore(context);
  const [loaded, list, scan] = await again.evaluate(
    async ([id, sha256]) => {
      const stored = await window.store.scan(sha256);
      const bytes = new Uint8Array(await new Blob([stored!.bytes]).arrayBuffer());
      return [
        await window.store.load(id),
        await window.store.list(),
        { file: stored?.file, size: bytes.length, intact: bytes.every((byte, i) => byte === i % 251) },
      ] as const;
    },
    [document.id, document.arches.lower!.scan.sha256] as const,
  );
  expect(loaded?.document).toEqual(document);
  expect(loaded).toMatchObject({ revision: 1, missingScans: [] });
  expect(list).toMatchObject([{ id: document.id, title: document.title, revision: 1, jaws: ['lower'] }]);
  expect(scan).toEqual({ file: document.arches.lower!.scan.file, size: 300_000, intact: true });
  expect(await again.evaluate(() => window.store.load('nobody'))).toBeNull();
  expect(await again.evaluate(() => window.store.find('nobody'))).toBeNull();
  expect(await again.evaluate((id) => window.store.find(id), document.id)).toEqual(list[0]);
  const unseen = await refusalOf(again, `await window.store.save(${JSON.stringify(document)}, null)`);
  expect(unseen).toMatchObject({ reason: 'stale' });
  expect(unseen.message).toContain('already kept here (revision 1)');
});

test('a case stored without its scan says which scan it misses', async ({ context }) => {
  const document = fullCase();
  const page = await openStore(context);
  await save(page, document, null);
  const loaded = await page.evaluate((id) => window.store.load(id), document.id);
  expect(loaded?.missingScans).toEqual([document.arches.lower!.scan.sha256]);
  expect(loaded?.document).toEqual(document);
});

test('a tab that has not seen the newer revision cannot overwrite it, and is told', async ({ context }) => {
  const document = fullCase();
  const one = await openStore(context);
  const two = await openStore(context);
  await one.evaluate(() => {
    window.changes = [];
    window.store.watch((change) => window.changes.push(change));
  });
  await save(one, document, null);
  expect(await save(two, { ...document, title: 'from tab two' }, 1)).toBe(2);
  await expect.poll(() => one.evaluate(() => window.changes)).toEqual([{ id: document.id, revision: 2 }]);

  const refusal = await refusalOf(
    one,
    `await window.store.save(${JSON.stringify({ ...document, title: 'from tab one' })}, 1)`,
  );
  expect(refusal).toMatchObject({ code: 'storage-failed', reason: 'stale' });
  expect(refusal.message).toContain('another tab saved the case since (revision 2, this tab knows 1)');
  const kept = await one.evaluate((id) => window.store.load(id), document.id);
  expect(kept).toMatchObject({ revision: 2, document: { title: 'from tab two' } });

  await two.evaluate((id) => window.store.delete(id), document.id);
  const gone = await refusalOf(one, `await window.store.save(${JSON.stringify(document)}, 2)`);
  expect(gone).toMatchObject({ reason: 'stale' });
  expect(gone.message).toContain('deleted in another tab');
});

test('of twenty saves at once from two tabs on one revision exactly one wins', async ({ context }) => {
  const document = fullCase();
  const pages = [await openStore(context), await openStore(context)];
  await save(pages[0], document, null);
  const results = await Promise.all(
    pages.map((page, tab) =>
      page.evaluate(
        async ([wanted, number]) => {
          const tries = Array.from({ length: 10 }, (_, i) =>
            window.store.save({ ...wanted, title: `tab ${number} save ${i}` }, 1).then(
              () => wanted.title,
              (error) => (error as { detail: { reason: string } }).detail.reason,
            ),
          );
          return Promise.all(tries);
        },
        [document, tab] as const,
      ),
    ),
  );
  expect(results.flat().filter((result) => result === 'stale')).toHaveLength(19);
  expect(await pages[0].evaluate((id) => window.store.load(id), document.id)).toMatchObject({ revision: 2 });
});

test('a full disk refuses the whole save and keeps what was there', async ({ context, baseURL }) => {
  const document = fullCase();
  const page = await blankPage(context);
  const session = await context.newCDPSession(page);
  // Before the store is opened: the browser remembers the room it found for half a minute.
  await session.send('Storage.overrideQuotaForOrigin', {
    origin: new URL(baseURL!).origin,
    quotaSize: 400_000,
  });
  await page.evaluate(async () => {
    window.store = await window.storage.CaseStore.open();
  });
  await save(page, document, null);
  const refusal = await refusalOf(
    page,
    `const bytes = crypto.getRandomValues(new Uint8Array(65536));
     const whole = new Uint8Array(65536 * 160);
     for (let i = 0; i < 160; i++) whole.set(bytes, i * 65536);
     const wanted = ${JSON.stringify({ ...document, title: 'too much' })};
     await window.store.save(wanted, 1, [{ sha256: wanted.arches.lower.scan.sha256, file: 'a.stl', bytes: whole.buffer }]);`,
  );
  expect(refusal).toMatchObject({ code: 'storage-failed', reason: 'quota' });
  expect(refusal.message).toContain('Your work is still open in this tab.');
  const kept = await page.evaluate((id) => window.store.load(id), document.id);
  expect(kept).toMatchObject({ revision: 1, document: { title: document.title } });
  expect(kept?.missingScans).toHaveLength(1);
});

test('deleting a case takes its scan along unless another case names it', async ({ context }) => {
  const document = fullCase();
  const { sha256 } = document.arches.lower!.scan;
  const page = await openStore(context);
  await save(page, document, null, 1000);
  await save(page, { ...document, id: 'other' }, null);
  const hasScan = () => page.evaluate(async (id) => (await window.store.scan(id)) !== null, sha256);
  await page.evaluate((id) => window.store.delete(id), document.id);
  expect(await hasScan()).toBe(true);
  await page.evaluate(() => window.store.delete('other'));
  expect(await hasScan()).toBe(false);
  expect(await page.evaluate(() => window.store.list())).toEqual([]);
});

test('a damaged or newer stored case is refused, listed, and left as it is', async ({ context }) => {
  const document = fullCase();
  const page = await openStore(context);
  await save(page, document, null);
  for (const [from, to, code] of [
    ['case@1', 'case@9', 'schema-newer'],
    ['"visits"', '"vizits"', 'field-invalid'],
    ['}\n', '', 'json-invalid'],
  ] as const) {
    const before = await page.evaluate(
      async ([id, find, put]) => {
        const request = indexedDB.open('archledger');
        const database = await new Promise<IDBDatabase>((resolve, reject) => {
          request.onsuccess = () => resolve(request.result);
          request.onerror = () => reject(request.error);
        });
        const table = database.transaction('cases', 'readwrite').objectStore('cases');
        const stored = await new Promise<{ json: string; good?: string }>((resolve) => {
          const reading = table.get(id);
          reading.onsuccess = () => resolve(reading.result);
        });
        stored.good ??= stored.json;
        const at = stored.good.lastIndexOf(find);
        stored.json = stored.good.slice(0, at) + put + stored.good.slice(at + find.length);
        table.put(stored);
        database.close();
        return stored.json;
      },
      [document.id, from, to] as const,
    );
    expect(await refusalOf(page, `await window.store.load('${document.id}')`)).toMatchObject({ code });
    expect(await page.evaluate((id) => window.store.rawText(id), document.id)).toBe(before);
    expect(await page.evaluate(() => window.store.list())).toMatchObject([{ id: document.id }]);
  }
});

test('storage made by a newer version is refused; a tab in its way lets go and says so', async ({
  context,
}) => {
  const page = await blankPage(context);
  await page.evaluate(async () => {
    window.changes = [];
    window.store = await window.storage.CaseStore.open({
      onLost: (refusal) => window.changes.push(refusal.detail as never),
    });
  });
  const other = await blankPage(context);
  await other.evaluate(async () => {
    const request = indexedDB.open('archledger', 99);
    await new Promise((resolve, reject) => {
      request.onsuccess = resolve;
      request.onerror = reject;
    });
    request.result.close();
  });
  expect(await page.evaluate(() => window.changes)).toMatchObject([{ reason: 'lost' }]);
  expect(await refusalOf(page, 'await window.store.list()')).toMatchObject({ reason: 'lost' });
  expect(await refusalOf(page, 'await window.storage.CaseStore.open()')).toMatchObject({
    code: 'storage-failed',
    reason: 'newer',
  });
});

test('autosave stores the last of a burst, keeps the scan in step, and never overwrites a newer tab', async ({
  context,
}) => {
  const document = fullCase();
  const page = await openStore(context);
  await page.evaluate((wanted) => {
    window.states = [];
    window.autosave = new window.storage.Autosave({
      store: window.store,
      delayMs: 20,
      onState: (state) => window.states.push(state),
    });
    const { sha256, file } = wanted.arches.lower!.scan;
    window.autosave.changed(wanted, [{ sha256, file, bytes: new ArrayBuffer(5000) }]);
    for (let i = 0; i < 30; i++) window.autosave.changed({ ...wanted, title: `title ${i}` });
  }, document);
  const lastState = () =>
    page.evaluate(() => {
      const state = window.states.at(-1)!;
      return state.kind === 'failed' ? { kind: state.kind, reason: state.refusal.detail.reason } : state;
    });
  await expect.poll(lastState).toEqual({ kind: 'saved', revision: 1 });
  const load = (id: string) => page.evaluate((wanted) => window.store.load(wanted), id);
  expect(await load(document.id)).toMatchObject({ document: { title: 'title 29' }, missingScans: [] });

  // A change during a save is not lost: flushing waits for the running one and saves again.
  await page.evaluate(async (wanted) => {
    window.autosave.changed({ ...wanted, title: 'first' });
    const first = window.autosave.flush();
    window.autosave.changed({ ...wanted, title: 'second' });
    await Promise.all([first, window.autosave.flush()]);
  }, document);
  expect(await load(document.id)).toMatchObject({ revision: 3, document: { title: 'second' } });

  const other = await openStore(context);
  await save(other, { ...document, title: 'newer' }, 3);
  await page.evaluate(async (wanted) => {
    window.autosave.changed({ ...wanted, title: 'mine' });
    await window.autosave.flush();
    window.autosave.changed({ ...wanted, title: 'mine too' });
    await window.autosave.flush();
  }, document);
  expect(await lastState()).toEqual({ kind: 'failed', reason: 'stale' });
  expect(await load(document.id)).toMatchObject({ revision: 4, document: { title: 'newer' } });
  expect(await refusalOf(page, 'await window.autosave.begin(null)')).toMatchObject({ reason: 'stale' });
  await page.evaluate(() => window.autosave.overwrite());
  expect(await load(document.id)).toMatchObject({ revision: 5, document: { title: 'mine too' } });
});

test('versions of a case are kept in order, read back to the bit, and go with the case', async ({
  context,
}) => {
  const document = fullCase();
  const page = await openStore(context);
  await save(page, document, null);
  const keep = (title: string, label: string) =>
    page.evaluate(([kept, name]) => window.store.keepVersion(kept, name), [
      { ...document, title },
      label,
    ] as const);
  expect(await keep('one', 'Plan agreed')).toMatchObject({
    number: 1,
    label: 'Plan agreed',
    caseId: document.id,
  });
  expect(await keep('one', 'Plan agreed')).toBeNull(); // the same state under the same name is no new one
  expect(await keep('two', 'Visit 1 recorded')).toMatchObject({ number: 2 });
  await page.close();

  const again = await openStore(context);
  const list = await again.evaluate((id) => window.store.versions(id), document.id);
  expect(list.map(({ number, label }) => [number, label])).toEqual([
    [2, 'Visit 1 recorded'],
    [1, 'Plan agreed'],
  ]);
  expect(await again.evaluate((id) => window.store.version(id, 1), document.id)).toEqual({
    ...document,
    title: 'one',
  });
  expect(await again.evaluate((id) => window.store.version(id, 9), document.id)).toBeNull();
  expect(await again.evaluate((id) => window.store.load(id), document.id)).toMatchObject({ document });
  await again.evaluate((id) => window.store.delete(id), document.id);
  expect(await again.evaluate((id) => window.store.versions(id), document.id)).toEqual([]);
});

test('a later scan named by a case is kept beside it and goes with it', async ({ context }) => {
  const document = fullCase();
  const lower = document.arches.lower!;
  const later = { ...lower.scan, file: 'later.ply', sha256: 'b'.repeat(64) };
  const followUp = {
    scan: later,
    date: '2026-03-02',
    afterVisit: 1,
    medianEdgeMm: lower.medianEdgeMm,
    frame: lower.frame,
    measure: null,
    marks: [],
  };
  const withLater = { ...document, arches: { upper: null, lower: { ...lower, followUps: [followUp] } } };
  const page = await openStore(context);
  await page.evaluate(
    ([wanted, scan]) =>
      window.store.save(wanted, null, [
        { sha256: scan.sha256, file: scan.file, bytes: new Uint8Array([1, 2, 3]).buffer },
      ]),
    [withLater, later] as const,
  );
  expect((await page.evaluate((sha) => window.store.scan(sha), later.sha256))?.file).toBe('later.ply');
  expect((await page.evaluate((id) => window.store.load(id), document.id))?.document).toEqual(withLater);
  await page.evaluate((id) => window.store.delete(id), document.id);
  expect(await page.evaluate((sha) => window.store.scan(sha), later.sha256)).toBeNull();
});

test('storage of the version before is taken over with its cases and scans', async ({ context }) => {
  const document = fullCase();
  const page = await openStore(context);
  await save(page, document, null, 1000);
  const json = await page.evaluate((id) => window.store.rawText(id), document.id);
  await page.evaluate(() => window.store.close());
  // The same cases as the earlier version stored them: two tables, no versions.
  await page.evaluate(
    async ([text, id, sha256]) => {
      const done = <T>(request: IDBRequest<T>): Promise<T> =>
        new Promise((resolve, reject) => {
          request.onsuccess = () => resolve(request.result);
          request.onerror = () => reject(request.error);
        });
      await done(indexedDB.deleteDatabase('archledger'));
      const opening = indexedDB.open('archledger', 1);
      opening.onupgradeneeded = () => {
        const cases = opening.result.createObjectStore('cases', { keyPath: 'id' });
        cases.createIndex('scanIds', 'scanIds', { multiEntry: true });
        opening.result.createObjectStore('scans', { keyPath: 'sha256' });
      };
      const database = await done(opening);
      const transaction = database.transaction(['cases', 'scans'], 'readwrite');
      const stored = { id, title: '', savedAt: '2026-01-01T00:00:00.000Z', revision: 7, jaws: ['lower'] };
      transaction.objectStore('cases').put({ ...stored, json: text, scanIds: [sha256] });
      transaction.objectStore('scans').put({ sha256, file: 'lower.stl', bytes: new ArrayBuffer(8) });
      await new Promise((resolve) => {
        transaction.oncomplete = resolve;
      });
      database.close();
    },
    [json, document.id, document.arches.lower!.scan.sha256] as const,
  );
  const again = await openStore(context);
  const loaded = await again.evaluate((id) => window.store.load(id), document.id);
  expect(loaded).toMatchObject({ document, revision: 7, missingScans: [] });
  const kept = await again.evaluate((wanted) => window.store.keepVersion(wanted, 'first'), document);
  expect(kept).toMatchObject({ number: 1 });
});
