import { setFlagsFromString } from 'node:v8';
import { Worker } from 'node:worker_threads';
import { Refusal, type RefusalCode } from '../../core/base/refusal.ts';
import type { BatchCase } from './BatchCase.ts';
import type { CaseRun } from './runCase.ts';

type Answer =
  | { readonly ok: true; readonly run: CaseRun }
  | { readonly ok: false; readonly code: RefusalCode; readonly message: string };

interface Died {
  readonly died: string;
}

/**
 * Heap of a thread: it lives in 15 MB, but makes 400 MB of short-lived objects an arch. With V8's own limits it was
 * collected whole after every arch, and each time the machine code of all functions made within functions was lost and
 * compiled anew, on the other core: 0.47 s of processor time an arch instead of 0.38.
 */
const HEAP_FLAGS = ['--initial-old-space-size=256', '--heap-growing-percent=1000'];

/**
 * Runs cases on worker threads, one case a thread at a time, so that memory depends on `jobs` alone. A thread that
 * dies fails its case, and a new one takes its place.
 *
 * Refuses:  as a case whose results cannot be written; no further case is begun then.
 */
export async function runOnThreads(
  cases: readonly BatchCase[],
  { jobs, out, program }: { readonly jobs: number; readonly out: string; readonly program: string },
  onDone: (one: BatchCase, outcome: CaseRun | Died) => Promise<void>,
): Promise<void> {
  let next = 0;
  let refused: Refusal | null = null;
  for (const flag of HEAP_FLAGS) setFlagsFromString(flag); // read when a thread makes its heap
  const lane = async (): Promise<void> => {
    let thread: ReturnType<typeof startThread> | null = null;
    while (next < cases.length && !refused) {
      const one = cases[next++];
      thread ??= startThread(out, program);
      const answer = await thread.ask(one);
      if ('died' in answer) {
        await thread.end();
        thread = null;
        await onDone(one, answer);
      } else if (answer.ok) await onDone(one, answer.run);
      else refused = new Refusal(answer.code, answer.message);
    }
    await thread?.end();
  };
  await Promise.all(Array.from({ length: Math.min(jobs, cases.length) }, lane));
  if (refused) throw refused;
}

/** A thread that answers one case at a time, or says what it died of, whenever that was. */
function startThread(out: string, program: string) {
  const worker = new Worker(new URL('./batchWorker.mjs', import.meta.url), { workerData: { out, program } });
  let waiting: ((answer: Answer) => void) | null = null;
  const died = new Promise<Died>((resolve) => {
    worker.on('error', (error: Error) => resolve({ died: error.message }));
    worker.on('exit', (code) => resolve({ died: `the thread ended with code ${code}` }));
  });
  worker.on('message', (answer: Answer) => waiting?.(answer));
  return {
    ask: (one: BatchCase): Promise<Answer | Died> => {
      const answered = new Promise<Answer>((resolve) => {
        waiting = resolve;
      });
      worker.postMessage(one);
      return Promise.race([answered, died]);
    },
    end: () => worker.terminate(),
  };
}
