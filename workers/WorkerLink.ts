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

/** A worker is looked after this often while calls wait; time asleep does not count. */
const LOOK_MS = 5000;

/** A far side that says nothing for longer has died unnoticed. Ten minutes: no stage of ours comes near. */
export const SILENCE_MS = 600_000;

/**
 * The page's end of a worker: restores refusals, rejects every pending call when the worker dies, fails, falls silent
 * or is cancelled, and starts a new worker at the next call.
 *
 * Refuses:  whatever the worker refuses; 'worker-died'; 'cancelled'.
 */
export class WorkerLink<Work> {
  private readonly spawn: Spawn;
  private readonly silenceMs: number;
  private session: Session<Work> | null = null;
  private readonly pending = new Set<(error: Error) => void>();
  private watch: ReturnType<typeof setInterval> | undefined;
  private silentMs = 0;

  constructor(spawn: Spawn, silenceMs = SILENCE_MS) {
    this.spawn = spawn;
    this.silenceMs = silenceMs;
  }

  /** Calls the worker; a bug inside it ends the worker. */
  call<T>(run: (remote: Remote<Work>) => Promise<Outcome<T>>): Promise<T> {
    return new Promise<T>((resolve, reject) => {
      let session: Session<Work>;
      try {
        session = this.running();
      } catch (error) {
        reject(died(textOf(error)));
        return;
      }
      this.pending.add(reject);
      this.look();
      run(session.remote).then(
        (outcome) => {
          if (!this.pending.delete(reject)) return;
          this.heard();
          if (outcome.ok) resolve(outcome.value);
          else reject(new Refusal(outcome.code, outcome.message, outcome.detail));
        },
        (error: unknown) => {
          if (this.pending.has(reject)) this.end(fault(error));
        },
      );
    });
  }

  /** The far side has given a sign of life. */
  heard(): void {
    this.silentMs = 0;
    if (!this.busy) clearInterval(this.watch);
  }

  private look(): void {
    clearInterval(this.watch);
    this.silentMs = 0;
    const everyMs = Math.min(LOOK_MS, this.silenceMs / 4);
    this.watch = setInterval(() => {
      this.silentMs += everyMs;
      if (this.silentMs >= this.silenceMs) this.end(died(`no sign of life for ${this.silenceMs / 1000} s`));
    }, everyMs);
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
      this.end(died(reason));
    });
    this.session = session;
    return session;
  }

  private end(error: Error): void {
    const waiting = [...this.pending];
    this.pending.clear();
    clearInterval(this.watch);
    const session = this.session;
    this.session = null;
    session?.spawned.terminate();
    for (const reject of waiting) reject(error);
  }
}

/** What browsers and Node say where no block of memory is left. */
const OUT_OF_MEMORY = /allocation failed|out of memory|invalid (typed )?array (buffer )?length/i;

const textOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

function died(reason: string): Refusal {
  return new Refusal(
    'worker-died',
    OUT_OF_MEMORY.test(reason)
      ? `WorkerLink: the memory of this browser ran out; got "${reason}", need room for the scan. Close other tabs and try again, or open a scan of fewer triangles.`
      : `WorkerLink: the worker stopped; got "${reason}", need a result. Try again; a smaller scan needs less memory.`,
    { reason },
  );
}

/** A bug of ours, or memory that ran out: the worker is in a state nobody knows, and is ended. */
function fault(error: unknown): Refusal {
  const reason = textOf(error);
  if (OUT_OF_MEMORY.test(reason)) return died(reason);
  return new Refusal(
    'worker-died',
    `WorkerLink: the work failed by a fault of this program; got "${reason}", need a result. Try again; where it fails again, save the case as a file and tell who keeps the program.`,
    { reason, stack: error instanceof Error ? error.stack : undefined },
  );
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
