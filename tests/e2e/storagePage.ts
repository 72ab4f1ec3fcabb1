import type { BrowserContext, Page } from '@playwright/test';
import { build } from 'vite';
import type { Autosave, SaveState } from '../../src/app/storage/autosave.ts';
import type { CaseChange, CaseStore } from '../../src/app/storage/caseStore.ts';
import type { CaseDocument } from '../../src/core/casefile/CaseDocument.ts';

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

/** Makes the script that puts the storage on a page; before all stories of a file. */
export async function bundleStorage(): Promise<void> {
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
}

/** An empty page of the app's own origin with the storage on it. */
export async function blankPage(context: BrowserContext): Promise<Page> {
  const page = await context.newPage();
  await page.route('**/blank.html', (route) =>
    route.fulfill({ contentType: 'text/html', body: '<!doctype html><title>blank</title>' }),
  );
  await page.goto('blank.html');
  await page.addScriptTag({ content: script });
  return page;
}

/** A blank page with the store of cases open. */
export async function openStore(context: BrowserContext): Promise<Page> {
  const page = await blankPage(context);
  await page.evaluate(async () => {
    window.store = await window.storage.CaseStore.open();
  });
  return page;
}

/** A refusal as data; an evaluate cannot return an error with its code. */
export const refusalOf = (
  page: Page,
  work: string,
): Promise<{ code: string; reason: string; message: string }> =>
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

/** Saves a case that was seen at a revision, with a scan of so many bytes; gives the new revision. */
export const save = (
  page: Page,
  document: CaseDocument,
  seen: number | null,
  scanBytes = 0,
): Promise<number> =>
  page.evaluate(
    async ([wanted, revision, size]) => {
      const { scan } = wanted.arches.lower!;
      const bytes = new Uint8Array(size).map((_, i) => i % 251).buffer;
      const scans = size > 0 ? [{ sha256: scan.sha256, file: scan.file, bytes }] : [];
      return window.store.save(wanted, revision, scans);
    },
    [document, seen, scanBytes] as const,
  );
