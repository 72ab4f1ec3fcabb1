import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { caseAccount } from '../../src/core/casefile/archAccount.ts';
import { readDocument } from '../../src/core/casefile/readDocument.ts';
import { findCrowns } from '../../src/core/crowns/findCrowns.ts';
import { COURSE_DEFAULTS } from '../../src/core/reduction/motion/CourseSettings.ts';
import { plannedCourse } from '../../src/core/reduction/motion/plannedCourse.ts';
import { surfaceCourse } from '../../src/core/reduction/motion/surfaceCourse.ts';
import { planReduction } from '../../src/core/reduction/planReduction.ts';
import { openScan } from '../../src/core/scan/openScan.ts';
import type { CourseAsked } from '../../workers/contract.ts';
import { makeGeometryWork } from '../../workers/geometryWork.ts';
import { geometryClients, sampleBytes } from '../support/geometryClients.ts';
import { refusalOf } from '../support/refusal.ts';

const SAMPLE = 'lower-crowded.ply';
const sample = (name: string): URL => new URL(`../../sample-meshes/${name}`, import.meta.url);

const makeClient = geometryClients();

/** The demo case's course, on crowns found anew. */
async function makeAsked() {
  const { mesh, facts } = await openScan(new Uint8Array(sampleBytes(SAMPLE)), SAMPLE);
  const demo = readDocument(readFileSync(sample('lower-crowded.case.json'), 'utf8'), 'case');
  const record = demo.arches.lower!;
  const { measures, asked } = caseAccount(demo).lower!;
  const { marks } = record.readings[record.activeReading];
  const plan = planReduction(asked!.request);
  const { pairs, course } = plannedCourse({ measures, marks, plan, settings: COURSE_DEFAULTS })!;
  const { missing, unerupted, thirdMolars } = record.chart;
  const map = findCrowns(mesh, record.frame, 'lower', { missing, unerupted, thirdMolars });
  const request: CourseAsked = {
    sha256: facts.sha256,
    frame: record.frame,
    pairs,
    faceCrown: map.faceCrown,
    crownTeeth: map.crowns.map(({ tooth }) => tooth),
  };
  return { mesh, request, stageCount: course.stageCount };
}

describe('crowns moved in the worker', () => {
  test('collide as in the direct call, and the asked arrays stay on the page', async () => {
    const client = makeClient();
    await client.open(sampleBytes(SAMPLE), SAMPLE);
    const { mesh, request, stageCount } = await makeAsked();
    const found = await client.course(request);
    const { frame, pairs, faceCrown, crownTeeth } = request;
    expect(found).toEqual(surfaceCourse(mesh, frame, { faceCrown, crownTeeth }, pairs));
    expect(found.contacts.length).toBe(11);
    expect(found.contacts.every((c) => c.wholeGapMm.length === stageCount + 1)).toBe(true);
    expect(found.withoutCrown).toEqual([]);
    expect(request.faceCrown.byteLength).toBeGreaterThan(0);
    // The crowns stand as they were scanned: nothing is shared but what a web hides.
    for (const { wholeGapMm } of found.contacts) expect(wholeGapMm[0]).toBeGreaterThan(-0.25);
    // A tooth whose crown is not there leaves its two contacts out, and is named.
    const less = await client.course({
      ...request,
      crownTeeth: request.crownTeeth.map((tooth) => (tooth === 41 ? 0 : tooth)),
    });
    expect(less.withoutCrown).toEqual([41]);
    expect(less.contacts.length).toBe(9);
  });

  // One thread here: over the channel nothing is heard before the answer, so the work itself is asked.
  test('are told by how far they have come, from 0 to 1', async () => {
    const work = makeGeometryWork();
    await work.open(sampleBytes(SAMPLE), SAMPLE, 'mm', null);
    const { request } = await makeAsked();
    const ratios: number[] = [];
    await work.course(request, (ratio) => ratios.push(ratio));
    expect(ratios).toEqual([...ratios].sort((a, b) => a - b));
    expect([ratios[0], ratios.at(-1)]).toEqual([0, 1]);
  });

  test('of a scan that is not open, or of another mesh, are refused; a cancel is one', async () => {
    const client = makeClient();
    const { request } = await makeAsked();
    expect((await refusalOf(() => client.course(request))).code).toBe('scan-not-open');
    await client.open(sampleBytes(SAMPLE), SAMPLE);
    const other = { ...request, faceCrown: request.faceCrown.slice(1) };
    expect((await refusalOf(() => client.course(other))).code).toBe('scan-mismatch');
    const waiting = refusalOf(() => client.course(request));
    client.cancel();
    expect((await waiting).code).toBe('cancelled');
  });
});
