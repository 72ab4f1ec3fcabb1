import { describe, expect, test } from 'vitest';
import { compareScans } from '../../src/core/compare/compareScans.ts';
import { openScan } from '../../src/core/scan/openScan.ts';
import { unpackSurfaceIndex } from '../../src/core/scan/surfaceIndex.ts';
import type { GeometryClient } from '../../workers/client.ts';
import type { ComparisonAsked, OpenedArch } from '../../workers/contract.ts';
import { makeGeometryWork } from '../../workers/geometryWork.ts';
import { geometryClients, sampleBytes } from '../support/geometryClients.ts';
import { refusalOf } from '../support/refusal.ts';

const [EARLIER, LATER] = ['lower-crowded.ply', 'lower-crowded-visit-1.ply'];
const SAID = { missing: [], unerupted: [], thirdMolars: [] };

const makeClient = geometryClients();

function askedFor(earlier: OpenedArch, later: OpenedArch): ComparisonAsked {
  const scan = ({ facts, frame }: OpenedArch) => {
    if (!frame.ok) throw new Error(frame.message);
    return { sha256: facts.sha256, frame: frame.value.frame, said: SAID };
  };
  return { jaw: 'lower', earlier: scan(earlier), later: scan(later) };
}

async function opened(client: GeometryClient): Promise<ComparisonAsked> {
  const earlier = await client.open(sampleBytes(EARLIER), EARLIER);
  return askedFor(earlier, await client.open(sampleBytes(LATER), LATER));
}

describe('two scans compared in the worker', () => {
  test('say what the direct call says, distances for the map with it', async () => {
    const client = makeClient();
    const asked = await opened(client);
    const found = await client.compare(asked);
    const [a, b] = await Promise.all(
      [EARLIER, LATER].map((name) => openScan(new Uint8Array(sampleBytes(name)), name)),
    );
    const direct = compareScans(
      { ...asked.earlier, index: unpackSurfaceIndex(a.mesh, a.index) },
      { ...asked.later, index: unpackSurfaceIndex(b.mesh, b.index) },
      'lower',
    );
    expect(found.measure).toEqual(direct.measure);
    expect(found.motion).toEqual(direct.motion);
    const same = (x: Float32Array, y: Float32Array) => Buffer.from(x.buffer).equals(Buffer.from(y.buffer));
    expect(same(found.deviation.wholeArch, direct.deviation.wholeArch)).toBe(true);
    expect(same(found.deviation.eachTooth, direct.deviation.eachTooth)).toBe(true);
    expect(found.deviation.wholeArch.length).toBe(a.mesh.positions.length / 3);
  });

  test('are told by stage, from 0 to 1', async () => {
    const work = makeGeometryWork();
    const open = async (name: string) => {
      const outcome = await work.open(sampleBytes(name), name, 'mm', null);
      if (!outcome.ok) throw new Error(outcome.message);
      return outcome.value;
    };
    const stages: string[] = [];
    const ratios: number[] = [];
    await work.compare(askedFor(await open(EARLIER), await open(LATER)), ({ stage, doneRatio }) => {
      if (stages.at(-1) !== stage) stages.push(stage);
      ratios.push(doneRatio);
    });
    expect(stages).toEqual(['earlier-crowns', 'later-crowns', 'arch', 'teeth', 'walls', 'deviation', 'done']);
    expect(ratios).toEqual([...ratios].sort((x, y) => x - y));
    expect([ratios[0], ratios.at(-1)]).toEqual([0, 1]);
  });

  test('are refused where one is not open, and can be cancelled', async () => {
    const client = makeClient();
    const asked = await opened(client);
    const unknown = { ...asked, later: { ...asked.later, sha256: 'e'.repeat(64) } };
    const refusal = await refusalOf(() => client.compare(unknown));
    expect([refusal.code, refusal.detail.sha256]).toEqual(['scan-not-open', 'e'.repeat(64)]);
    const waiting = refusalOf(() => client.compare(asked));
    client.cancel();
    expect((await waiting).code).toBe('cancelled');
    expect(client.busy).toBe(false);
  });
});
