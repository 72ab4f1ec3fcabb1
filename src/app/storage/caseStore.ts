import { type DBSchema, type IDBPDatabase, type IDBPTransaction, openDB } from 'idb';
import type { Refusal } from '../../core/base/refusal.ts';
import type { Jaw } from '../../core/base/tooth.ts';
import type { CaseDocument } from '../../core/casefile/CaseDocument.ts';
import { caseJson } from '../../core/casefile/documentJson.ts';
import { readDocument } from '../../core/casefile/readDocument.ts';
import { asRefusal, failed, stale } from './storageFailure.ts';

/** Bytes of a scan file as it was opened, found by the SHA-256 of those bytes. */
export interface StoredScan {
  readonly sha256: string;
  readonly file: string;
  /** A Blob is stored without copying it on the page's thread. */
  readonly bytes: ArrayBuffer | Blob;
}

/** A scan to be stored; `replaces` where what is stored under its checksum turned out to be damaged. */
export interface ScanToStore extends StoredScan {
  readonly replaces?: boolean;
}

/** A line of the list of cases; readable even when the case itself is damaged or from a newer version. */
export interface CaseSummary {
  readonly id: string;
  readonly title: string;
  readonly savedAt: string; // ISO 8601
  readonly revision: number;
  readonly jaws: readonly Jaw[];
}

export interface LoadedCase {
  readonly document: CaseDocument;
  readonly revision: number;
  readonly savedAt: string;
  /** SHA-256 of scans the case names and the store no longer has; the user is asked for them by name. */
  readonly missingScans: readonly string[];
}

/** What another tab did to a case. */
export interface CaseChange {
  readonly id: string;
  readonly revision: number | null; // null: deleted
}

interface StoredCase extends CaseSummary {
  readonly json: string; // text of the case file, checked again on every reading
  readonly scanIds: readonly string[];
}

/** A dated step in the life of a case: how it stood then, to be looked at, compared and brought back. */
export interface CaseVersion {
  readonly caseId: string;
  readonly number: number; // 1, 2, … in the order kept
  readonly keptAt: string; // ISO 8601
  readonly label: string; // "Visit 1 recorded"
}

interface StoredVersion extends CaseVersion {
  readonly json: string; // text of the case file, checked again on every reading
}

interface Tables extends DBSchema {
  cases: { key: string; value: StoredCase; indexes: { scanIds: string } };
  scans: { key: string; value: StoredScan };
  versions: { key: [string, number]; value: StoredVersion };
}

/** Every version of a case. */
const versionsOf = (caseId: string): IDBKeyRange =>
  IDBKeyRange.bound([caseId, 0], [caseId, Number.MAX_SAFE_INTEGER]);

// Stored records are read as they are found: other programs of the address, other versions and faults of the disk may
// have left anything in them. What a field does not hold counts as absent, and the case's text says the rest.

const textOr = (value: unknown, absent: string): string => (typeof value === 'string' ? value : absent);

const textOf = (stored: { readonly json: unknown }): string => textOr(stored.json, '');

const revisionOf = ({ revision }: StoredCase): number =>
  Number.isSafeInteger(revision) && revision > 0 ? revision : 0;

const scanIdsOf = ({ scanIds }: StoredCase): readonly string[] =>
  Array.isArray(scanIds) ? scanIds.filter((id) => typeof id === 'string') : [];

const summary = (stored: StoredCase): CaseSummary => ({
  id: stored.id,
  title: textOr(stored.title, ''),
  savedAt: textOr(stored.savedAt, ''),
  revision: revisionOf(stored),
  jaws: Array.isArray(stored.jaws) ? stored.jaws.filter((jaw) => jaw === 'upper' || jaw === 'lower') : [],
});

const DATABASE = 'archledger';
const DATABASE_VERSION = 2;
const TABLES = ['cases', 'scans', 'versions'] as const;

export interface CaseStoreOptions {
  readonly name?: string; // 'archledger'
  /** The connection is gone (data cleared, or another tab needs a newer version): the case stays in memory. */
  readonly onLost?: (refusal: Refusal) => void;
}

/**
 * Cases and their scans in one IndexedDB database. Every save is one transaction: case and scans are both
 * there or neither. A revision number guards against two tabs: a save on top of a revision the tab has not
 * seen is refused, never merged or overwritten. Every method refuses with 'storage-failed' and a
 * `detail.reason`: 'quota', 'stale', 'lost', 'newer', 'blocked', 'unavailable' or 'failed'; nothing is half done.
 */
export class CaseStore {
  readonly #database: IDBPDatabase<Tables>;
  readonly #channel: BroadcastChannel;

  private constructor(name: string, database: IDBPDatabase<Tables>) {
    this.#database = database;
    this.#channel = new BroadcastChannel(`${name}-cases`);
  }

  static async open({ name = DATABASE, onLost }: CaseStoreOptions = {}): Promise<CaseStore> {
    try {
      if (typeof indexedDB === 'undefined') throw failed('unavailable', 'this browser offers no storage');
      return new CaseStore(name, await openDatabase(name, onLost ?? (() => {})));
    } catch (error) {
      throw asRefusal(error); // a browser that bars storage throws of itself
    }
  }

  /**
   * Saves a case and those of the given scans that are not stored yet, together; gives the new revision.
   * `seenRevision` is the revision this tab loaded or last saved, null for a case never saved.
   * Refuses: besides the above, 'field-invalid' where the document could not be read again.
   */
  async save(
    document: CaseDocument,
    seenRevision: number | null,
    scans: readonly ScanToStore[] = [],
  ): Promise<number> {
    const json = caseJson(document);
    const records = [document.arches.upper, document.arches.lower].filter((record) => record !== null);
    const revision = (seenRevision ?? 0) + 1;
    await transact(this.#database, 'readwrite', async (transaction) => {
      const cases = transaction.objectStore('cases');
      const stored = await cases.get(document.id);
      const found = stored ? revisionOf(stored) : null;
      if (found !== seenRevision) throw stale(document.id, seenRevision, found);
      for (const { replaces, ...scan } of scans) {
        const store = transaction.objectStore('scans');
        if (replaces || (await store.getKey(scan.sha256)) === undefined) await store.put(scan);
      }
      // Scans the case named earlier are kept while it lives: undo may bring them back.
      const scanIds = new Set([...(stored ? scanIdsOf(stored) : []), ...scansNamed(document)]);
      await cases.put({
        id: document.id,
        title: document.title,
        savedAt: new Date().toISOString(),
        revision,
        jaws: records.map((record) => record.jaw),
        json,
        scanIds: [...scanIds],
      });
    });
    this.#tell({ id: document.id, revision });
    return revision;
  }

  /** Null where there is no such case; refuses like `readDocument` when the stored text is damaged or newer. */
  async load(id: string): Promise<LoadedCase | null> {
    return transact(this.#database, 'readonly', async (transaction) => {
      const stored = await transaction.objectStore('cases').get(id);
      if (!stored) return null;
      const document = readDocument(textOf(stored), 'case');
      const missingScans: string[] = [];
      for (const record of [document.arches.upper, document.arches.lower]) {
        if (record && (await transaction.objectStore('scans').getKey(record.scan.sha256)) === undefined)
          missingScans.push(record.scan.sha256);
      }
      const { revision, savedAt } = summary(stored);
      return { document, revision, savedAt, missingScans };
    });
  }

  /** The stored text of a case, whatever its state, so that even a damaged one can be saved to a file. */
  async rawText(id: string): Promise<string | null> {
    const stored = await transact(this.#database, 'readonly', (t) => t.objectStore('cases').get(id));
    return stored ? textOf(stored) : null;
  }

  /**
   * The stored case of an id, or null. Ask before a case file is opened: its case may be kept here already, and
   * saving over it needs the revision found, and the user's word.
   */
  async find(id: string): Promise<CaseSummary | null> {
    const stored = await transact(this.#database, 'readonly', (t) => t.objectStore('cases').get(id));
    return stored ? summary(stored) : null;
  }

  /** Cases, the one saved last first. */
  async list(): Promise<readonly CaseSummary[]> {
    const stored = await transact(this.#database, 'readonly', (t) => t.objectStore('cases').getAll());
    return stored.map(summary).sort((a, b) => (a.savedAt < b.savedAt ? 1 : a.savedAt > b.savedAt ? -1 : 0));
  }

  async scan(sha256: string): Promise<StoredScan | null> {
    return (await transact(this.#database, 'readonly', (t) => t.objectStore('scans').get(sha256))) ?? null;
  }

  /** Deletes a case and the scans no other case names; an unknown id is no fault. */
  async delete(id: string): Promise<void> {
    await transact(this.#database, 'readwrite', async (transaction) => {
      const cases = transaction.objectStore('cases');
      const stored = await cases.get(id);
      if (!stored) return;
      await cases.delete(id);
      await transaction.objectStore('versions').delete(versionsOf(id));
      for (const sha256 of scanIdsOf(stored)) {
        if ((await cases.index('scanIds').count(sha256)) === 0)
          await transaction.objectStore('scans').delete(sha256);
      }
    });
    this.#tell({ id, revision: null });
  }

  /**
   * Keeps a state of a case as its next version; gives null where it equals the last one kept and its label.
   * Versions lie beside the case in this browser and go with it; a case file does not hold them.
   */
  async keepVersion(document: CaseDocument, label: string): Promise<CaseVersion | null> {
    const json = caseJson(document);
    return transact(this.#database, 'readwrite', async (transaction) => {
      const versions = transaction.objectStore('versions');
      const last = (await versions.openCursor(versionsOf(document.id), 'prev'))?.value ?? null;
      if (last && last.json === json && last.label === label) return null;
      const number = (last?.number ?? 0) + 1;
      const kept = { caseId: document.id, number, keptAt: new Date().toISOString(), label };
      await versions.add({ ...kept, json });
      return kept;
    });
  }

  /** Versions of a case, the one kept last first. */
  async versions(caseId: string): Promise<readonly CaseVersion[]> {
    const stored = await transact(this.#database, 'readonly', (t) =>
      t.objectStore('versions').getAll(versionsOf(caseId)),
    );
    return stored
      .map(({ caseId, number, keptAt, label }) => ({
        caseId,
        number,
        keptAt: textOr(keptAt, ''),
        label: textOr(label, ''),
      }))
      .reverse();
  }

  /** A version's case, or null; refuses like `readDocument` when the stored text is damaged or newer. */
  async version(caseId: string, number: number): Promise<CaseDocument | null> {
    const stored = await transact(this.#database, 'readonly', (t) =>
      t.objectStore('versions').get([caseId, number]),
    );
    return stored ? readDocument(textOf(stored), 'case') : null;
  }

  /** Calls back when another tab saved or deleted a case; gives the function that stops it. */
  watch(onChange: (change: CaseChange) => void): () => void {
    const listen = (event: MessageEvent) => onChange(event.data as CaseChange);
    this.#channel.addEventListener('message', listen);
    return () => this.#channel.removeEventListener('message', listen);
  }

  close(): void {
    this.#channel.close();
    this.#database.close();
  }

  /** A failed notice must not turn a finished save into a failed one: the revision guards without it too. */
  #tell(change: CaseChange): void {
    try {
      this.#channel.postMessage(change);
    } catch {
      // the store was closed meanwhile
    }
  }
}

/** SHA-256 of every scan a case names, later scans included. */
export const scansNamed = ({ arches }: CaseDocument): readonly string[] =>
  [arches.upper, arches.lower].flatMap((record) =>
    record ? [record.scan.sha256, ...(record.followUps ?? []).map((followUp) => followUp.scan.sha256)] : [],
  );

/** How long a tab with an older version may keep the database from being opened. */
const OPEN_TIMEOUT_MS = 8000;

async function openDatabase(name: string, onLost: (refusal: Refusal) => void): Promise<IDBPDatabase<Tables>> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  let connection: IDBPDatabase<Tables> | undefined;
  const opening = openDB<Tables>(name, DATABASE_VERSION, {
    upgrade(database, oldVersion) {
      // One step per version, each from the version before it; a step once released is never edited.
      if (oldVersion < 1) {
        database.createObjectStore('cases', { keyPath: 'id' }).createIndex('scanIds', 'scanIds', {
          multiEntry: true,
        });
        database.createObjectStore('scans', { keyPath: 'sha256' });
      }
      if (oldVersion < 2) database.createObjectStore('versions', { keyPath: ['caseId', 'number'] });
    },
    blocking() {
      connection?.close();
      onLost(failed('lost', 'another tab runs a newer version and needs the storage'));
    },
    terminated: () => onLost(failed('lost', 'the browser closed the storage')),
  });
  const timeout = new Promise<never>((_, reject) => {
    const blocked = failed('blocked', 'another tab holds an older version of the storage open');
    timer = setTimeout(() => reject(blocked), OPEN_TIMEOUT_MS);
  });
  try {
    connection = await Promise.race([opening, timeout]);
    const { objectStoreNames } = connection;
    if (!TABLES.every((table) => objectStoreNames.contains(table))) {
      connection.close();
      throw failed('failed', `a storage of this name that is not ours (${[...objectStoreNames].join(', ')})`);
    }
    return connection;
  } catch (error) {
    opening.then(
      (late) => late.close(),
      () => {},
    );
    throw asRefusal(error);
  } finally {
    clearTimeout(timer);
  }
}

type Transaction<M extends IDBTransactionMode> = IDBPTransaction<
  Tables,
  ('cases' | 'scans' | 'versions')[],
  M
>;

/** Runs `work` in one transaction that is committed to disk whole, or not at all when anything in it fails. */
async function transact<T, M extends 'readonly' | 'readwrite'>(
  database: IDBPDatabase<Tables>,
  mode: M,
  work: (transaction: Transaction<M>) => Promise<T>,
): Promise<T> {
  try {
    const transaction = database.transaction([...TABLES], mode, { durability: 'strict' });
    const ended = transaction.done.then(
      () => null,
      (error: unknown) => ({ error }),
    );
    let fault: { readonly error: unknown } | null = null;
    const worked = await work(transaction).catch((error: unknown) => {
      fault = { error };
      try {
        transaction.abort();
      } catch {
        // it ended by itself
      }
    });
    fault = fault ?? (await ended);
    if (fault) throw (fault as { error: unknown }).error;
    return worked as T;
  } catch (error) {
    throw asRefusal(error);
  }
}
