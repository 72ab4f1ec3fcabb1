import { proxy, type Remote } from 'comlink';
import type { Outcome } from '../src/core/base/refusal.ts';
import { type Spawn, WorkerLink } from './WorkerLink.ts';

/** What the page can do with every one of its workers. */
export class WorkerClient<Work> {
  protected readonly link: WorkerLink<Work>;

  /** `silenceMs`: a worker that says nothing for longer counts as dead. */
  constructor(spawn: Spawn, silenceMs?: number) {
    this.link = new WorkerLink(spawn, silenceMs);
  }

  /** True while a call waits for its answer. */
  get busy(): boolean {
    return this.link.busy;
  }

  /** Stops what is running; its promise rejects with 'cancelled'. The next call starts a new worker. */
  cancel(): void {
    this.link.cancel();
  }

  close(): void {
    this.link.close();
  }

  /** A call that tells its progress; what arrives after its end says nothing any more. */
  protected reporting<T, Progress>(
    onProgress: ((progress: Progress) => void) | undefined,
    run: (remote: Remote<Work>, report: (progress: Progress) => void) => Promise<Outcome<T>>,
  ): Promise<T> {
    let open = true;
    const report = proxy((progress: Progress) => {
      this.link.heard();
      if (open) onProgress?.(progress);
    });
    return this.link
      .call<T>((remote) => run(remote, report))
      .finally(() => {
        open = false;
      });
  }
}
