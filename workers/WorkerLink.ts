import { type Endpoint, type Remote, wrap } from 'comlink';
import { type Outcome, Refusal } from '../src/core/base/refusal.ts';

/** A running worker, or anything that behaves like one. */
export interface Spawned {
  readonly endpoint: Endpoint;
  /** Tells the link that the far side will never answer again. */
  onDeath(listener: (reason: string) => void): void;
  terminate(): void;
}

export type Spawn = () => Spawned;

interface Session<Work> {
  readonly spawned: Spawned;
  readonly remote: Remote<Work>;
}

/**
 * The page's end of a worker: restores refusals, rejects every pending call when the worker dies or is cancelled,
 * and starts a new worker at the next call.
 *
 * Refuses:  whatever the worker refuses; 'worker-died'; 'cancelled'.
 */
export class WorkerLink<Work> {
  private readonly spawn: Spawn;
  private session: Session<Work> | null = null;
  private readonly pending = new Set<(error: Error) => void>();

  constructor(spawn: Spawn) {
    this.spawn = spawn;
  }

  /** Calls the worker; a bug inside it ends the worker and rejects with the plain error. */
  call<T>(run: (remote: Remote<Work>) => Promise<Outcome<T>>): Promise<T> {
    return new Promise<T>((resolve, reject) => {
      const session = this.running();
      this.pending.add(reject);
      run(session.remote).then(
        (outcome) => {
          if (!this.pending.delete(reject)) return;
          if (outcome.ok) resolve(outcome.value);
          else reject(new Refusal(outcome.code, outcome.message, outcome.detail));
        },
        (error: unknown) => {
          if (!this.pending.has(reject)) return;
          this.end(error instanceof Error ? error : new Error(String(error)));
        },
      );
    });
  }

  /** True while a call waits for its answer. */
  get busy(): boolean {
    return this.pending.size > 0;
  }

  /** Ends the worker at once: a message could not interrupt a running loop. Pending calls get 'cancelled'. */
  cancel(): void {
    if (!this.busy) return;
    this.end(
      new Refusal(
        'cancelled',
        'WorkerLink: the work was cancelled; got no result, need none. Start it again.',
      ),
    );
  }

  /** Ends the worker for good; the link can still be used and then starts a new one. */
  close(): void {
    this.end(
      new Refusal('cancelled', 'WorkerLink: the work was closed; got no result, need none. Start it again.'),
    );
  }

  private running(): Session<Work> {
    if (this.session) return this.session;
    const spawned = this.spawn();
    const session = { spawned, remote: wrap<Work>(spawned.endpoint) };
    spawned.onDeath((reason) => {
      if (this.session !== session) return;
      this.end(
        new Refusal(
          'worker-died',
          `WorkerLink: the worker stopped; got "${reason}", need a result. Try again; a smaller scan needs less memory.`,
          { reason },
        ),
      );
    });
    this.session = session;
    return session;
  }

  private end(error: Error): void {
    const waiting = [...this.pending];
    this.pending.clear();
    const session = this.session;
    this.session = null;
    session?.spawned.terminate();
    for (const reject of waiting) reject(error);
  }
}

/** A worker of the browser as a link needs it. */
export function spawnedWorker(worker: Worker): Spawned {
  return {
    endpoint: worker,
    onDeath(listener) {
      worker.addEventListener('error', (event) => {
        event.preventDefault();
        listener(event.message || 'the worker could not be started');
      });
      worker.addEventListener('messageerror', () => listener('a message could not be read'));
    },
    terminate: () => worker.terminate(),
  };
}
