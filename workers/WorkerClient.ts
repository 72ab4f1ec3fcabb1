import { proxy, type Remote } from 'comlink';
import type { Outcome } from '../src/core/base/refusal.ts';
import { type Spawn, WorkerLink } from './WorkerLink.ts';

/** What the page can do with every one of its workers. */
export class WorkerClient<Work> {
  protected readonly link: WorkerLink<Work>;

  constructor(spawn: Spawn) {
    this.link = new WorkerLink(spawn);
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
    run: (remote: Remote<Work>, report: ((progress: Progress) => void) | null) => Promise<Outcome<T>>,
  ): Promise<T> {
    let open = true;
    const report = onProgress && proxy((progress: Progress) => open && onProgress(progress));
    return this.link
      .call<T>((remote) => run(remote, report ?? null))
      .finally(() => {
        open = false;
      });
  }
}
