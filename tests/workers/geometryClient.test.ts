import { afterEach, describe, expect, test } from 'vitest';
import { unpackSurfaceIndex } from '../../src/core/scan/surfaceIndex.ts';
import { GeometryClient } from '../../workers/client.ts';
import type { GeometryWork, OpenProgress } from '../../workers/contract.ts';
import { geometryWork } from '../../workers/geometryWork.ts';
import { archBuffers, openArch } from '../../workers/openArch.ts';
import { type ChannelWorker, spawnOverChannel } from '../support/channelWorker.ts';
import { makeArchStrip } from '../support/meshes.ts';
import { binaryStl } from '../support/meshFiles.ts';
import { makeRandom } from '../support/random.ts';
import { refusalOf } from '../support/refusal.ts';

const clients: GeometryClient[] = [];
afterEach(() => {
  for (const client of clients.splice(0)) client.close();
});

/** A client over a channel, and the workers it has started so far. */
function makeClient(work: GeometryWork = geometryWork) {
  const workers: ChannelWorker[] = [];
  const client = new GeometryClient(() => {
    const worker = spawnOverChannel(work);
    workers.push(worker);
    return worker;
  });
  clients.push(client);
  return { client, workers };
}

const stl = (): ArrayBuffer => binaryStl(makeArchStrip(4000, makeRandom(2))).slice().buffer;

/** Work that never answers. */
const endless: GeometryWork = {
  open: () => new Promise(() => {}),
  propose: () => new Promise(() => {}),
  compare: () => new Promise(() => {}),
  course: () => new Promise(() => {}),
};

describe('the geometry worker', () => {
  test('gives what the direct call gives, and its index answers the same', async () => {
    const { client } = makeClient();
    const direct = await openArch(stl(), 'a.stl', 'mm');
    const opened = await client.open(stl(), 'a.stl');
    expect(opened).toEqual(direct);
    const point = [3, 40, 20] as const;
    expect(unpackSurfaceIndex(opened.mesh, opened.index).closestPoint(point)).toEqual(
      unpackSurfaceIndex(direct.mesh, direct.index).closestPoint(point),
    );
  });

  test('consumes the bytes and hands every buffer over instead of copying it', async () => {
    const kept: { buffers: ArrayBuffer[] } = { buffers: [] };
    const spying: GeometryWork = {
      ...geometryWork,
      async open(...call) {
        const outcome = await geometryWork.open(...call);
        if (outcome.ok) kept.buffers = archBuffers(outcome.value);
        return outcome;
      },
    };
    const { client } = makeClient(spying);
    const bytes = stl();
    const opened = await client.open(bytes, 'a.stl');
    expect(bytes.byteLength).toBe(0);
    expect(kept.buffers.length).toBe(5); // positions, indices, normals, face order, tree
    expect(kept.buffers.map((buffer) => buffer.byteLength)).toEqual([0, 0, 0, 0, 0]);
    expect(archBuffers(opened).every((buffer) => buffer.byteLength > 0)).toBe(true);
  });

  test('a scan that is drawn simplified comes with its display mesh', async () => {
    const { client } = makeClient();
    const bytes = binaryStl(makeArchStrip(160_000, makeRandom(3))).slice().buffer;
    const opened = await client.open(bytes, 'a.stl');
    expect(opened.facts.triangles).toBeGreaterThan(150_000);
    const drawn = opened.display!.indices.length / 3;
    expect(drawn).toBeGreaterThan(10_000);
    expect(drawn).toBeLessThanOrEqual(100_000);
  });

  test('reports progress that grows to 1 and stops with the call', async () => {
    const { client } = makeClient();
    const seen: OpenProgress[] = [];
    await client.open(stl(), 'a.stl', { onProgress: (progress) => seen.push(progress) });
    const count = seen.length;
    expect(seen[0]).toEqual({ stage: 'file', doneRatio: 0 });
    expect([...new Set(seen.map((p) => p.stage))].slice(0, 4)).toEqual(['file', 'read', 'check', 'index']);
    const ratios = seen.map((p) => p.doneRatio);
    expect(ratios).toEqual([...ratios].sort((a, b) => a - b));
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect(seen.length).toBe(count);
  });

  test('a refusal keeps its code, message and detail, and the worker lives on', async () => {
    const { client, workers } = makeClient();
    const metres = binaryStl({
      ...makeArchStrip(400),
      positions: makeArchStrip(400).positions.map((c) => c / 1000),
    });
    const refusal = await refusalOf(() => client.open(metres.slice().buffer, 'a.stl'));
    expect(refusal.code).toBe('unit-implausible');
    expect(refusal.detail.likelyUnit).toBe('m');
    expect(refusal.message).toMatch(/metres/);
    expect((await client.open(metres.slice().buffer, 'a.stl', { unit: 'm' })).facts.unit).toBe('m');
    expect(workers.length).toBe(1);
  });

  test('a surface without a frame is opened all the same, with the reason', async () => {
    const { client } = makeClient();
    const flat = makeArchStrip(40);
    const one = { positions: flat.positions, indices: flat.indices.slice(0, 60) };
    const opened = await client.open(binaryStl(one).slice().buffer, 'a.stl');
    expect(opened.frame).toMatchObject({ ok: false, code: 'not-an-arch' });
  });

  test('a file is read by the worker', async () => {
    const bytes = binaryStl(makeArchStrip(120_000, makeRandom(4)));
    expect(bytes.length).toBeGreaterThan(4 << 20); // more than one piece
    const file = new File([bytes.slice()], 'arch.stl');
    const ratios: number[] = [];
    const opened = await openArch(file, file.name, 'mm', ({ stage, doneRatio }) => {
      if (stage === 'file') ratios.push(doneRatio);
    });
    const direct = await openArch(bytes.slice().buffer, 'arch.stl', 'mm');
    expect(opened).toEqual(direct);
    expect(ratios.length).toBeGreaterThan(2);
  });

  test('a file that cannot be read any more is refused', async () => {
    const file = new File([new Uint8Array(10)], 'gone.stl');
    file.stream = () => {
      throw new TypeError('no stream');
    };
    file.arrayBuffer = () => Promise.reject(new Error('gone'));
    const refusal = await refusalOf(() => openArch(file, 'gone.stl', 'mm'));
    expect([refusal.code, refusal.message]).toEqual(['storage-failed', expect.stringMatching(/gone/)]);
  });
});

describe('the link', () => {
  test('cancel ends the worker, rejects with "cancelled", and the next call works', async () => {
    const { client, workers } = makeClient(endless);
    const waiting = refusalOf(() => client.open(stl(), 'a.stl'));
    expect(client.busy).toBe(true);
    client.cancel();
    expect((await waiting).code).toBe('cancelled');
    expect([client.busy, workers[0].terminated]).toEqual([false, true]);

    const { client: again, workers: started } = makeClient();
    const first = refusalOf(() => again.open(stl(), 'a.stl'));
    again.cancel();
    expect((await first).code).toBe('cancelled');
    expect((await again.open(stl(), 'a.stl')).facts.triangles).toBeGreaterThan(3000);
    expect(started.length).toBe(2);
  });

  test('cancelling when nothing runs does nothing', async () => {
    const { client, workers } = makeClient();
    client.cancel();
    await client.open(stl(), 'a.stl');
    client.cancel();
    await client.open(stl(), 'a.stl');
    expect(workers.length).toBe(1);
  });

  test('a dead worker rejects every pending call with "worker-died", and the next call works', async () => {
    let works: GeometryWork = endless;
    const { client, workers } = makeClient({
      open: (...call) => works.open(...call),
      propose: (...call) => works.propose(...call),
      compare: (...call) => works.compare(...call),
      course: (...call) => works.course(...call),
    });
    const waiting = [1, 2, 3].map(() => refusalOf(() => client.open(stl(), 'a.stl')));
    await new Promise((resolve) => setTimeout(resolve, 10));
    workers[0].die();
    expect((await Promise.all(waiting)).map((refusal) => refusal.code)).toEqual([
      'worker-died',
      'worker-died',
      'worker-died',
    ]);
    works = geometryWork;
    expect((await client.open(stl(), 'a.stl')).facts.format).toBe('stl-binary');
    expect(workers.length).toBe(2);
  });

  test('a bug inside the worker ends it and says what to do; memory that ran out says so', async () => {
    let thrown: Error = new TypeError('a is undefined');
    const { client, workers } = makeClient({ ...geometryWork, open: () => Promise.reject(thrown) });
    const bug = await refusalOf(() => client.open(stl(), 'a.stl'));
    expect(bug.code).toBe('worker-died');
    expect(bug.message).toMatch(/a fault of this program; got "a is undefined".*Try again/);
    expect(workers[0].terminated).toBe(true);

    for (const text of [
      'Array buffer allocation failed',
      'Invalid typed array length: 9e12',
      'out of memory',
    ]) {
      thrown = new RangeError(text);
      const memory = await refusalOf(() => client.open(stl(), 'a.stl'));
      expect(memory.code).toBe('worker-died');
      expect(memory.message).toMatch(/memory of this browser ran out.*fewer triangles/);
    }
  });

  test('a worker that falls silent counts as dead; one that tells its progress does not', async () => {
    const SILENCE_MS = 600;
    let works: GeometryWork = endless;
    const workers: ChannelWorker[] = [];
    const client = new GeometryClient(() => {
      const worker = spawnOverChannel({
        open: (...call: Parameters<GeometryWork['open']>) => works.open(...call),
      });
      workers.push(worker);
      return worker;
    }, SILENCE_MS);
    clients.push(client);
    const silent = await refusalOf(() => client.open(stl(), 'a.stl'));
    expect(silent.code).toBe('worker-died');
    expect(silent.message).toContain('no sign of life');
    expect(workers[0].terminated).toBe(true);

    works = {
      ...geometryWork,
      async open(source, name, unit, onProgress) {
        for (let i = 0; i < 8; i++) {
          onProgress?.({ stage: 'read', doneRatio: i / 8 });
          await new Promise((resolve) => setTimeout(resolve, SILENCE_MS / 4));
        }
        return geometryWork.open(source, name, unit, null);
      },
    };
    // also where the caller asks for no progress
    expect((await client.open(stl(), 'a.stl')).facts.format).toBe('stl-binary');
    expect(workers.length).toBe(2);
  });

  test('a worker that cannot be started rejects, and leaves nothing pending', async () => {
    const client = new GeometryClient(() => {
      throw new Error('no workers here');
    });
    const refusal = await refusalOf(() => client.open(stl(), 'a.stl'));
    expect([refusal.code, refusal.message]).toEqual([
      'worker-died',
      expect.stringMatching(/no workers here/),
    ]);
    expect(client.busy).toBe(false);
  });
});
