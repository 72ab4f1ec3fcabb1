import { Refusal } from '../../core/base/refusal.ts';
import type { CaseDocument } from '../../core/casefile/CaseDocument.ts';
import type { CaseStore, StoredScan } from './caseStore.ts';

/** Where the last change stands; shown all the time, so that a failed save is never silent. */
export type SaveState =
  | { readonly kind: 'saved'; readonly revision: number | null }
  | { readonly kind: 'waiting' }
  | { readonly kind: 'saving' }
  | { readonly kind: 'failed'; readonly refusal: Refusal };

export interface AutosaveOptions {
  readonly store: Pick<CaseStore, 'save'>;
  readonly delayMs?: number; // 400: after a first save at once, one for a burst of changes
  readonly onState: (state: SaveState) => void;
}

/** Work that would be lost with the page. */
export interface UnsavedWork {
  readonly document: CaseDocument;
  readonly revision: number | null; // seen by this tab
  readonly scanCount: number; // files not stored yet
  readonly hasFailed: boolean; // the last save was refused
}

/**
 * Saves the latest document, at once after a pause and a moment after each change of a burst, one save at a time, and
 * keeps count of the revision.
 * A failed save keeps the document and its scans and is tried again with the next change; after 'stale' it
 * stops trying until `begin` or `overwrite` says how to go on, so that no newer work is overwritten unasked.
 */
export class Autosave {
  readonly #options: AutosaveOptions;
  #revision: number | null = null;
  #pending: CaseDocument | null = null;
  #scans = new Map<string, StoredScan>();
  #timer: ReturnType<typeof setTimeout> | undefined;
  #running: Promise<void> | null = null;
  #refusal: Refusal | null = null; // of the last save, null when it went well
  #savedAtMs = Number.NEGATIVE_INFINITY;

  constructor(options: AutosaveOptions) {
    this.#options = options;
  }

  /**
   * Call before another case takes this one's place, with the revision of the other (null: never saved).
   * What is pending is saved first; where that fails the refusal is thrown and nothing changes, unless the
   * user chose to discard the unsaved work.
   */
  async begin(revision: number | null, { discardUnsaved = false } = {}): Promise<void> {
    if (!discardUnsaved) {
      await this.flush();
      // What changed while it was being saved is work too.
      while (this.#pending && !this.#refusal) await this.flush();
      if (this.#pending && this.#refusal) throw this.#refusal;
    }
    clearTimeout(this.#timer);
    while (this.#running) await this.#running;
    this.#refusal = null;
    this.#pending = null;
    this.#scans.clear();
    this.#revision = revision;
    this.#options.onState({ kind: 'saved', revision });
  }

  /** The document changed; `scans` are those not known to be stored. */
  changed(document: CaseDocument, scans: readonly StoredScan[] = []): void {
    this.#pending = document;
    for (const scan of scans) this.#scans.set(scan.sha256, scan);
    if (this.#isStale()) return;
    this.#options.onState({ kind: 'waiting' });
    clearTimeout(this.#timer);
    const delayMs = this.#options.delayMs ?? 400;
    const isBurst = this.#running !== null || performance.now() - this.#savedAtMs < delayMs;
    this.#timer = setTimeout(() => void this.flush(), isBurst ? delayMs : 0);
  }

  /** What is not saved yet, or null. */
  get unsaved(): UnsavedWork | null {
    if (!this.#pending) return null;
    return {
      document: this.#pending,
      revision: this.#revision,
      scanCount: this.#scans.size,
      hasFailed: this.#refusal !== null,
    };
  }

  /** Saves what is pending now; call when the page is being hidden. Resolves when nothing is left to do. */
  async flush(): Promise<void> {
    clearTimeout(this.#timer);
    while (this.#running) await this.#running;
    if (!this.#pending || this.#isStale()) return;
    this.#running = this.#save(this.#pending, [...this.#scans.values()]).finally(() => {
      this.#running = null;
    });
    await this.#running;
  }

  /** After 'stale', and only when the user said so: this tab's work replaces what the other tab saved. */
  async overwrite(): Promise<void> {
    if (!this.#refusal || !this.#isStale()) return;
    this.#revision = this.#refusal.detail.revision as number | null;
    this.#refusal = null;
    await this.flush();
  }

  #isStale(): boolean {
    return this.#refusal?.detail.reason === 'stale';
  }

  async #save(document: CaseDocument, scans: readonly StoredScan[]): Promise<void> {
    this.#options.onState({ kind: 'saving' });
    try {
      this.#revision = await this.#options.store.save(document, this.#revision, scans);
      this.#refusal = null;
      this.#savedAtMs = performance.now();
      for (const scan of scans) this.#scans.delete(scan.sha256);
      if (this.#pending === document) {
        this.#pending = null;
        this.#options.onState({ kind: 'saved', revision: this.#revision });
      }
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.#refusal = error;
      this.#options.onState({ kind: 'failed', refusal: error });
    }
  }
}
