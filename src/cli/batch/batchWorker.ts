import { parentPort, workerData } from 'node:worker_threads';
import { Refusal } from '../../core/base/refusal.ts';
import type { BatchCase } from './BatchCase.ts';
import { runCase } from './runCase.ts';

// One case at a time: asked by a message, answered by one.
const { out, program } = workerData as { readonly out: string; readonly program: string };

parentPort!.on('message', async (one: BatchCase) => {
  try {
    parentPort!.postMessage({ ok: true, run: await runCase(one, out, program) });
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    parentPort!.postMessage({ ok: false, code: error.code, message: error.message });
  }
});
