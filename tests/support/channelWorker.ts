import { expose } from 'comlink';
import type { Spawned } from '../../workers/WorkerLink.ts';

/** A stand-in for a worker thread: the work behind a MessageChannel, with the same contract. */
export interface ChannelWorker extends Spawned {
  /** The far side closes, as a crashed worker does. */
  die(): void;
  readonly terminated: boolean;
  /** Every message that came back, as it arrived. */
  readonly answers: readonly unknown[];
}

export function spawnOverChannel(work: object): ChannelWorker {
  const { port1, port2 } = new MessageChannel();
  expose(work, port2);
  const answers: unknown[] = [];
  port1.addEventListener('message', (event) => answers.push((event as MessageEvent).data));
  port1.start();
  const state = { terminated: false };
  return {
    endpoint: port1,
    answers,
    onDeath(listener) {
      port1.addEventListener('close', () => listener('the port was closed'));
    },
    terminate() {
      state.terminated = true;
      port1.close();
      port2.close();
    },
    die: () => port2.close(),
    get terminated() {
      return state.terminated;
    },
  };
}
