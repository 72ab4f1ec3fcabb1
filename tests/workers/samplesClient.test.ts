import { afterEach, describe, expect, it } from 'vitest';
import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { makeArch } from '../../src/samples/makeArch.ts';
import { writePly } from '../../src/samples/writeMesh.ts';
import { SamplesClient } from '../../workers/samplesClient.ts';
import type { SampleProgress } from '../../workers/samplesContract.ts';
import { samplesWork } from '../../workers/samplesWork.ts';
import { type ChannelWorker, spawnOverChannel } from '../support/channelWorker.ts';
import { refusalOf } from '../support/refusal.ts';

const recipe: ArchRecipe = { jaw: 'lower', seed: 12, crowdingMm: 2, triangles: 20_000 };
const clients: SamplesClient[] = [];
afterEach(() => {
  for (const client of clients.splice(0)) client.close();
});

function makeClient(work: object = samplesWork()): { client: SamplesClient; workers: ChannelWorker[] } {
  const workers: ChannelWorker[] = [];
  const client = new SamplesClient(() => {
    const worker = spawnOverChannel(work);
    workers.push(worker);
    return worker;
  });
  clients.push(client);
  return { client, workers };
}

describe('samples worker', () => {
  it('makes the arch of the direct call, and tells how far it is', async () => {
    const direct = makeArch(recipe, 'own');
    const told: SampleProgress[] = [];
    const made = await makeClient().client.make(recipe, 'own', (progress) => told.push(progress));
    expect(Buffer.from(made.ply).equals(Buffer.from(writePly(direct.mesh)))).toBe(true);
    expect(made.triangles).toBe(direct.labels.length);
    expect(made.truth).toEqual(direct.truth);
    const ratios = told.map((progress) => progress.doneRatio);
    expect(told[0].stage).toBe('teeth');
    expect(ratios).toEqual([...ratios].sort((a, b) => a - b));
    expect(ratios.length).toBeGreaterThan(3);
  });

  it('keeps the refusal of a recipe that no arch can be built from', async () => {
    for (const wrong of [
      { jaw: 'upper', seed: 7, crowdingMm: 12 } as const,
      { crowdingMm: -1 },
      { pegs: [41] },
      { seed: 0.5 },
    ]) {
      const refusal = await refusalOf(() => makeClient().client.make({ ...recipe, ...wrong }, null));
      expect(refusal.code).toBe('request-invalid');
    }
  });

  it('cancel rejects with "cancelled", ends the worker, and the next call gets a new one', async () => {
    const { client, workers } = makeClient();
    const waiting = refusalOf(() => client.make(recipe, null));
    expect(client.busy).toBe(true);
    client.cancel();
    expect((await waiting).code).toBe('cancelled');
    expect(workers[0].terminated).toBe(true);
    expect((await client.make(recipe, null)).triangles).toBeGreaterThan(18_000);
    expect(workers).toHaveLength(2);
  });

  it('a dead worker rejects', async () => {
    const { client, workers } = makeClient({ make: () => new Promise(() => {}) });
    const waiting = refusalOf(() => client.make(recipe, null));
    workers[0].die();
    expect((await waiting).code).toBe('worker-died');
  });
});
