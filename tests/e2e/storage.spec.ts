import { expect, test } from '@playwright/test';
import { fullCase } from '../core/casefile/arbitraryCase.ts';
import { blankPage, bundleStorage, openStore, refusalOf, save } from './storagePage.ts';

test.beforeAll(bundleStorage);

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
