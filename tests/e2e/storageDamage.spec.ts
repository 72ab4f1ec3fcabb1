import { expect, type Page, test } from '@playwright/test';
import fc from 'fast-check';
import { caseJson } from '../../src/core/casefile/documentJson.ts';
import { fullCase } from '../core/casefile/arbitraryCase.ts';
import { edited, edits, fuzzRuns } from '../support/fuzz.ts';
import { bundleStorage, openStore } from './storagePage.ts';

// Whatever a fault of the disk, another program of the address or another version has left in the storage: every method
// of the store gives a value or refuses, and the page starts.

test.beforeAll(bundleStorage);

const document = fullCase();
const whole = new TextEncoder().encode(caseJson(document));

/** A record as it is put into the storage: what cannot travel as JSON is named. */
type Odd = { readonly [field: string]: unknown };

const ODD = ['undefined', 'bytes', 'blob', 'date', 'nan', 'infinity', 'map', 'big'] as const;
const oddValue = fc.oneof(
  fc.constantFrom(...ODD).map((odd) => ({ odd })),
  fc.json().map((text) => JSON.parse(text) as unknown),
  fc.string(),
  fc.integer(),
);

/** A stored case with some of its fields odd, absent or damaged; its key is always one. */
const oddCase = fc.record(
  {
    title: oddValue,
    savedAt: oddValue,
    revision: oddValue,
    jaws: oddValue,
    scanIds: oddValue,
    json: fc.oneof(
      oddValue,
      edits.map((changes) => new TextDecoder().decode(edited(whole, changes, whole))),
      fc.constant(caseJson(document)),
    ),
    more: oddValue,
  },
  { requiredKeys: [] },
);
const oddScan = fc.record({ file: oddValue, bytes: oddValue }, { requiredKeys: [] });
const oddVersion = fc.record({ keptAt: oddValue, label: oddValue, json: oddValue }, { requiredKeys: [] });

/** Puts records into the storage past the store; what is odd is made on the page. */
const putRaw = (page: Page, records: { readonly cases: Odd; readonly scans: Odd; readonly versions: Odd }) =>
  page.evaluate(async (given) => {
    const make: Record<string, () => unknown> = {
      undefined: () => undefined,
      bytes: () => new Uint8Array([1, 2, 3]),
      blob: () => new Blob(['not a scan']),
      date: () => new Date(Number.NaN),
      nan: () => Number.NaN,
      infinity: () => Number.POSITIVE_INFINITY,
      map: () => new Map([[1, new Set([2])]]),
      big: () => 12n,
    };
    const real = (record: Odd): Odd =>
      Object.fromEntries(
        Object.entries(record).map(([field, value]) => {
          const odd = (value as { odd?: string } | null)?.odd;
          return [field, odd && make[odd] ? make[odd]() : value];
        }),
      );
    const opening = indexedDB.open('archledger');
    const database: IDBDatabase = await new Promise((resolve, reject) => {
      opening.onsuccess = () => resolve(opening.result);
      opening.onerror = () => reject(opening.error);
    });
    const transaction = database.transaction(['cases', 'scans', 'versions'], 'readwrite');
    for (const table of ['cases', 'scans', 'versions'] as const)
      transaction.objectStore(table).put(real(given[table]));
    await new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error);
    });
    database.close();
  }, records);

test('records of any content are listed, refused or read by the store, and can be saved over and deleted', async ({
  context,
}) => {
  test.setTimeout(600_000);
  const page = await openStore(context);
  const { sha256 } = document.arches.lower!.scan;
  await fc.assert(
    fc.asyncProperty(oddCase, oddScan, oddVersion, async (oneCase, oneScan, oneVersion) => {
      await putRaw(page, {
        cases: { ...oneCase, id: document.id },
        scans: { ...oneScan, sha256 },
        versions: { ...oneVersion, caseId: document.id, number: 1 },
      });
      const faults = await page.evaluate(
        async ([wanted, scanId]) => {
          const said: string[] = [];
          const { store } = window;
          const tried = async <T>(what: string, work: () => Promise<T>): Promise<T | null> => {
            try {
              return await work();
            } catch (error) {
              const { name, message } = error as Error;
              if (name !== 'Refusal' || !/; got/.test(message)) said.push(`${what}: ${name} ${message}`);
              return null;
            }
          };
          const list = await tried('list', () => store.list());
          const [one] = list ?? [];
          if (typeof one?.title !== 'string' || typeof one.savedAt !== 'string') said.push('list: no text');
          if (!one?.jaws.every((jaw) => jaw === 'upper' || jaw === 'lower')) said.push('list: jaws');
          const found = await tried('find', () => store.find(wanted.id));
          if (found?.revision !== one?.revision) said.push('find and list differ');
          const loaded = await tried('load', () => store.load(wanted.id));
          if (loaded && loaded.revision !== found?.revision) said.push('load and find differ');
          if (typeof (await tried('rawText', () => store.rawText(wanted.id))) !== 'string')
            said.push('rawText: none');
          await tried('scan', () => store.scan(scanId));
          const versions = await tried('versions', () => store.versions(wanted.id));
          if (versions?.length !== 1 || typeof versions[0].label !== 'string') said.push('versions');
          await tried('version', () => store.version(wanted.id, 1));
          await tried('keepVersion', () => store.keepVersion(wanted, 'kept'));
          // Saved over, with the scan that replaces a damaged one, it is whole again; then it can be deleted.
          const scan = { sha256: scanId, file: 'a.stl', bytes: new Blob(['solid']), replaces: true };
          const revision = await tried('save', () => store.save(wanted, found?.revision ?? null, [scan]));
          if (revision !== (found?.revision ?? 0) + 1) said.push(`save: ${revision}`);
          const again = await tried('load again', () => store.load(wanted.id));
          if (again?.document.title !== wanted.title || again.missingScans.length > 0)
            said.push('load again');
          if ((await store.scan(scanId))?.file !== 'a.stl') said.push('the scan was not replaced');
          await tried('delete', () => store.delete(wanted.id));
          if ((await store.list()).length > 0 || (await store.scan(scanId))) said.push('delete');
          return said;
        },
        [document, sha256] as const,
      );
      expect(faults).toEqual([]);
    }),
    fuzzRuns(150),
  );
});

test('a storage of the same name that is not ours is left as it is, and said', async ({ context }) => {
  const page = await context.newPage();
  await page.route('**/blank.html', (route) =>
    route.fulfill({ contentType: 'text/html', body: '<!doctype html><title>blank</title>' }),
  );
  await page.goto('blank.html');
  await page.evaluate(async () => {
    const opening = indexedDB.open('archledger', 2);
    opening.onupgradeneeded = () => opening.result.createObjectStore('theirs').put('kept', 1);
    await new Promise((resolve) => {
      opening.onsuccess = resolve;
    });
    opening.result.close();
  });
  await page.goto('./');
  await expect(page.getByRole('application', { name: /Lower arch in 3D/ })).toBeVisible({ timeout: 60_000 });
  await expect(page.getByRole('alert').filter({ hasText: 'Not saved in this browser.' })).toContainText(
    'not ours (theirs)',
  );
  const theirs = await page.evaluate(async () => {
    const opening = indexedDB.open('archledger');
    await new Promise((resolve) => {
      opening.onsuccess = resolve;
    });
    const asking = opening.result.transaction('theirs').objectStore('theirs').get(1);
    await new Promise((resolve) => {
      asking.onsuccess = resolve;
    });
    return asking.result;
  });
  expect(theirs).toBe('kept');
});

/** Damage done to a browser in which a case was kept, and what the page has to say of it. */
const DAMAGES: readonly {
  readonly what: string;
  readonly done: () => Promise<void>;
  readonly said: RegExp;
  readonly isDemo?: boolean; // the kept case cannot be shown: the demo stands in
}[] = [
  {
    what: 'the case’s text cut in half',
    done: () => window.damage('cases', (one) => ({ ...one, json: String(one.json).slice(0, 900) })),
    said: /The case that was open last cannot be read\. It was left as it is/,
    isDemo: true,
  },
  {
    what: 'a record without its fields',
    done: () => window.damage('cases', ({ id }) => ({ id })),
    said: /The case that was open last cannot be read/,
    isDemo: true,
  },
  {
    what: 'a case of a newer version',
    done: () =>
      window.damage('cases', (one) => ({
        ...one,
        json: String(one.json).replace('archledger/case@1', 'archledger/case@9'),
      })),
    said: /The case that was open last cannot be read/,
    isDemo: true,
  },
  {
    what: 'the bytes of the scan changed',
    done: () => window.damage('scans', (one) => ({ ...one, bytes: new Blob(['solid nothing']) })),
    said: /The upper scan is not at hand/,
  },
  {
    what: 'the scan gone',
    done: () => window.damage('scans', () => null),
    said: /The upper scan is not at hand/,
  },
  {
    what: 'small things of another program',
    done: async () => {
      for (const key of ['lastJaw', 'theme', 'lessons', 'operatorSince', 'unsaved'])
        localStorage.setItem(`archledger.${key}`, '{"<b>":[');
    },
    said: /A note of unsaved work cannot be read/,
  },
];

declare global {
  interface Window {
    damage: (table: string, change: (one: Odd) => Odd | null) => Promise<void>;
  }
}

test('damage of what is kept never keeps the page from starting, and is told', async ({ context }) => {
  test.setTimeout(400_000);
  for (const { what, done, said, isDemo } of DAMAGES) {
    await test.step(what, async () => {
      const page = await context.newPage();
      const faults: string[] = [];
      page.on('pageerror', (error) => faults.push(String(error)));
      await page.addInitScript(() => {
        window.damage = async (table, change) => {
          const opening = indexedDB.open('archledger');
          await new Promise((resolve) => {
            opening.onsuccess = resolve;
          });
          const transaction = opening.result.transaction(table, 'readwrite');
          const asking = transaction.objectStore(table).openCursor();
          asking.onsuccess = () => {
            const cursor = asking.result;
            if (!cursor) return;
            const changed = change(cursor.value as Odd);
            if (changed) cursor.update(changed);
            else cursor.delete();
            cursor.continue();
          };
          await new Promise((resolve) => {
            transaction.oncomplete = resolve;
          });
          opening.result.close();
        };
      });
      await page.goto('./');
      await expect(page.getByRole('application', { name: /arch in 3D/ })).toBeVisible({ timeout: 60_000 });
      // A case of its own with a scan that is shipped nowhere: the sample less its last triangle.
      await page.getByRole('button', { name: /^Case/ }).click();
      await page.getByRole('menuitem', { name: 'New case' }).click();
      const choosing = page.waitForEvent('filechooser');
      await page.getByRole('button', { name: 'Open scan…' }).click();
      await (await choosing).setFiles({ name: 'own.stl', mimeType: 'model/stl', buffer: await ownStl() });
      await page.getByRole('button', { name: /^Upper arch/ }).click();
      await expect(page.getByRole('application', { name: /Upper arch in 3D/ })).toBeVisible({
        timeout: 60_000,
      });
      await page.getByLabel('Case title').fill(what);
      await page.getByLabel('Case title').press('Enter');
      await expect(page.getByText(/^Saved /)).toBeVisible();
      await page.evaluate(`(${done.toString()})()`);
      await page.reload();
      const alert = page.getByRole('alert').filter({ hasText: said });
      const refusal = page.getByRole('alertdialog');
      await expect(alert.or(refusal).first()).toBeVisible({ timeout: 60_000 });
      if (await refusal.isVisible()) await refusal.getByRole('button', { name: 'Close' }).click();
      await expect(alert).toBeVisible({ timeout: 60_000 });
      await expect(page.getByLabel('Case title')).toHaveValue(isDemo ? /^Demo/ : what);
      // Nothing is dropped: the case is still in the list, and its text can be saved.
      await page.getByRole('button', { name: /^Case/ }).click();
      await page.getByRole('menuitem', { name: 'Cases kept in this browser…' }).click();
      const saving = page.waitForEvent('download');
      await page.getByRole('dialog').getByRole('button', { name: 'Save as file' }).first().click();
      expect((await saving).suggestedFilename()).toMatch(/\.case\.json$/);
      await page.keyboard.press('Escape');
      expect(faults).toEqual([]);
      await page.evaluate(() => {
        localStorage.clear();
        indexedDB.deleteDatabase('archledger');
      });
      await page.close();
    });
  }
});

/** A sample as a file of its own: the last triangle left out, so that no shipped scan has its checksum. */
async function ownStl(): Promise<Buffer> {
  const { readFile } = await import('node:fs/promises');
  const bytes = (await readFile('sample-meshes/upper-crowded.stl')).subarray(0, -50);
  const own = Buffer.from(bytes);
  own.writeUInt32LE(own.readUInt32LE(80) - 1, 80);
  return own;
}
