/** What the storage tests put on a page: bundled for the browser, since IndexedDB is not in Node. */
export { Autosave } from '../../src/app/storage/autosave.ts';
export { CaseStore } from '../../src/app/storage/caseStore.ts';
