import { expect, test } from '@playwright/test';
import { fullCase } from '../core/casefile/arbitraryCase.ts';
import { bundleStorage, openStore, refusalOf, save } from './storagePage.ts';

test.beforeAll(bundleStorage);

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
