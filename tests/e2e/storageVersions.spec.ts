import { expect, test } from '@playwright/test';
import { fullCase } from '../core/casefile/arbitraryCase.ts';
import { blankPage, bundleStorage, openStore, refusalOf, save } from './storagePage.ts';

test.beforeAll(bundleStorage);

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
