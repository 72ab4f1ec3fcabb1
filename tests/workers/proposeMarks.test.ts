import { describe, expect, test } from 'vitest';
import { proposeMarks } from '../../src/core/marks/proposeMarks.ts';
import { openScan } from '../../src/core/scan/openScan.ts';
import { unpackSurfaceIndex } from '../../src/core/scan/surfaceIndex.ts';
import type { OpenedArch, ProposalAsked } from '../../workers/contract.ts';
import { makeGeometryWork } from '../../workers/geometryWork.ts';
import { geometryClients, sampleBytes } from '../support/geometryClients.ts';
import { makeArchStrip } from '../support/meshes.ts';
import { binaryStl } from '../support/meshFiles.ts';
import { makeRandom } from '../support/random.ts';
import { refusalOf } from '../support/refusal.ts';

const SAMPLE = 'upper-crowded.stl';
const SAID = { missing: [], unerupted: [], thirdMolars: [] };

const makeClient = geometryClients();

const strip = (seed: number): ArrayBuffer => binaryStl(makeArchStrip(2000, makeRandom(seed))).slice().buffer;

function askedFor({ facts, frame }: OpenedArch): ProposalAsked {
  if (!frame.ok) throw new Error(frame.message);
  return { sha256: facts.sha256, frame: frame.value.frame, jaw: 'upper', said: SAID };
}

describe('marks proposed in the worker', () => {
  test('are what the direct call proposes, and the scan stays on the page', async () => {
    const client = makeClient();
    const opened = await client.open(sampleBytes(SAMPLE), SAMPLE);
    const asked = askedFor(opened);
    const proposed = await client.propose(asked);
    const scan = await openScan(new Uint8Array(sampleBytes(SAMPLE)), SAMPLE);
    const direct = proposeMarks(unpackSurfaceIndex(scan.mesh, scan.index), asked.frame, 'upper', SAID);
    const { faceCrown } = proposed.crowns;
    // Element by element, toEqual takes ten seconds over the faces.
    expect(Buffer.from(faceCrown).equals(direct.crowns.faceCrown)).toBe(true);
    expect({ ...proposed, crowns: { ...proposed.crowns, faceCrown: 0 } }).toEqual({
      ...direct,
      crowns: { ...direct.crowns, faceCrown: 0 },
    });
    expect(proposed.marks.length).toBe(3 * 14);
    expect(opened.mesh.positions.byteLength).toBeGreaterThan(0);
    // What the chart says is heard.
    const less = await client.propose({ ...asked, said: { ...SAID, missing: [17, 27] } });
    expect(less.crowns.crowns.map(({ tooth }) => tooth)).not.toContain(17);
    // So is what the user says of a crown, and for which tooth marks are wanted.
    const corrected = await client.propose({
      ...asked,
      said: { ...SAID, missing: [17, 27] },
      corrections: {
        seeds: [{ tooth: 17, pointMm: proposed.marks.find((m) => m.tooth === 17)?.pointMm ?? [0, 0, 0] }],
        painted: [],
      },
      only: [17],
    });
    expect(corrected.marks.map(({ tooth, site }) => `${tooth} ${site}`)).toEqual([
      '17 mesial',
      '17 distal',
      '17 cusp',
    ]);
  });

  // One thread here: over the channel nothing is heard before the answer, so the work itself is asked.
  test('are told by stage, from 0 to 1', async () => {
    const work = makeGeometryWork();
    const opened = await work.open(sampleBytes(SAMPLE), SAMPLE, 'mm', null);
    if (!opened.ok) throw new Error(opened.message);
    const stages: string[] = [];
    const ratios: number[] = [];
    await work.propose(askedFor(opened.value), ({ stage, doneRatio }) => {
      if (stages.at(-1) !== stage) stages.push(stage);
      ratios.push(doneRatio);
    });
    expect(stages).toEqual(['crowns', 'contact-points', 'done']);
    expect(ratios).toEqual([...ratios].sort((a, b) => a - b));
    expect([ratios[0], ratios.at(-1)]).toEqual([0, 1]);
  });

  test('of a scan that is no arch are refused, and the worker lives on', async () => {
    const client = makeClient();
    const opened = await client.open(strip(1), 'a.stl');
    const asked = {
      ...askedFor(await client.open(sampleBytes(SAMPLE), SAMPLE)),
      sha256: opened.facts.sha256,
    };
    expect((await refusalOf(() => client.propose(asked))).code).toBe('not-an-arch');
    expect((await client.open(strip(2), 'b.stl')).facts.file).toBe('b.stl');
  });

  test('of a scan nobody opened, or of the last but three, are refused by name', async () => {
    const client = makeClient();
    const first = askedFor(await client.open(sampleBytes(SAMPLE), SAMPLE));
    const nobody = await refusalOf(() => client.propose({ ...first, sha256: 'f'.repeat(64) }));
    expect([nobody.code, nobody.detail.sha256]).toEqual(['scan-not-open', 'f'.repeat(64)]);
    await client.open(strip(3), 'a.stl');
    expect((await client.propose(first)).marks.length).toBeGreaterThan(0);
    await client.open(strip(4), 'b.stl');
    await client.open(strip(5), 'c.stl');
    await client.open(strip(6), 'd.stl');
    expect((await refusalOf(() => client.propose(first))).code).toBe('scan-not-open');
  });

  test('can be cancelled; the scan is then opened again and the second try answers', async () => {
    const client = makeClient();
    const asked = askedFor(await client.open(sampleBytes(SAMPLE), SAMPLE));
    const waiting = refusalOf(() => client.propose(asked));
    client.cancel();
    expect((await waiting).code).toBe('cancelled');
    expect(client.busy).toBe(false);
    expect((await refusalOf(() => client.propose(asked))).code).toBe('scan-not-open');
    await client.open(sampleBytes(SAMPLE), SAMPLE);
    expect((await client.propose(asked)).marks.length).toBeGreaterThan(0);
  });
});
