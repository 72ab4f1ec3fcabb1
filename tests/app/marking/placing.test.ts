import { readFile } from 'node:fs/promises';
import { beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { pacedWriter } from '../../../src/app/marking/pacedWriter.ts';
import {
  confirmSite,
  markAt,
  marksOf,
  placeAt,
  startMarking,
  stepSite,
} from '../../../src/app/marking/siteActions.ts';
import { landingOf, snapOnScan } from '../../../src/app/marking/snapOnScan.ts';
import { actions, undo, useStore } from '../../../src/app/store.ts';
import { archFrame } from '../../../src/core/arch/ArchFrame.ts';
import { Refusal } from '../../../src/core/base/refusal.ts';
import { distance, type Vec3 } from '../../../src/core/base/Vec3.ts';
import { type OpenedScan, openScan } from '../../../src/core/scan/openScan.ts';
import { unpackSurfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import type { SampleTruth } from '../../../src/samples/sampleTruth.ts';

const SAMPLE = 'sample-meshes/lower-crowded';
let opened: OpenedScan;
let truth: SampleTruth;

beforeAll(async () => {
  truth = JSON.parse(await readFile(`${SAMPLE}.truth.json`, 'utf8'));
  opened = await openScan(new Uint8Array(await readFile(`${SAMPLE}.ply`)), 'lower-crowded.ply');
});

/** An empty case with the sample in the lower jaw, its frame given. */
beforeEach(() => {
  actions().newCase();
  const { facts, shape, findings, mesh, index } = opened;
  actions().openScanInto('lower', {
    scan: { facts, shape, findings, mesh, display: mesh, index: unpackSurfaceIndex(mesh, index) },
    frame: archFrame(truth.frame.originMm, truth.frame.occlusal, truth.frame.forward),
    frameConfidence: 1,
  });
});

const TOOTH = 46;
const crown = () => truth.teeth.find((t) => t.tooth === TOOTH)!;
const beside = ([x, y, z]: Vec3): Vec3 => [x + 0.2, y - 0.25, z + 0.1];
const site = (name: 'mesial' | 'distal') => ({ tooth: TOOTH, site: name });
const place = (name: 'mesial' | 'distal', clickMm: Vec3) =>
  placeAt('lower', site(name), landingOf('lower', site(name), clickMm));

describe('placing the two contact points of a tooth', () => {
  it('snaps both anew with the second click, near the truth, in one step of undo', () => {
    place('mesial', beside(crown().mesialMm));
    const alone = markAt('lower', site('mesial'))!.pointMm;
    place('distal', beside(crown().distalMm));
    const mesial = markAt('lower', site('mesial'))!.pointMm;
    const distal = markAt('lower', site('distal'))!.pointMm;
    // Snapped widths are good to 0.40 mm at worst, see snapAccuracy.test.ts.
    expect(Math.abs(distance(mesial, distal) - crown().widthMm)).toBeLessThan(0.4);
    undo();
    expect(markAt('lower', site('distal'))).toBeNull();
    expect(markAt('lower', site('mesial'))!.pointMm).toEqual(alone);
  });

  it('leaves the first mark where it is once the user has moved it', () => {
    place('mesial', beside(crown().mesialMm));
    const own = beside(markAt('lower', site('mesial'))!.pointMm);
    actions().moveMark('lower', TOOTH, 'mesial', own);
    place('distal', beside(crown().distalMm));
    expect(markAt('lower', site('mesial'))!.pointMm).toEqual(own);
  });

  it('refuses a second click on the side of the first', () => {
    place('mesial', crown().mesialMm);
    expect(() => landingOf('lower', site('distal'), beside(crown().mesialMm))).toThrow(Refusal);
  });

  it('snaps a dragged mark without moving its partner', () => {
    place('mesial', beside(crown().mesialMm));
    place('distal', beside(crown().distalMm));
    const before = markAt('lower', site('mesial'))!.pointMm;
    actions().moveMark('lower', TOOTH, 'distal', snapOnScan('lower', site('distal'), crown().distalMm));
    expect(markAt('lower', site('mesial'))!.pointMm).toEqual(before);
  });
});

describe('the round of the arch', () => {
  it('starts at the last right tooth, goes on to the next open site and ends where the order ends', () => {
    startMarking('lower');
    const selected = () => useStore.getState().ui.selectedSite;
    expect(selected()).toEqual({ tooth: 47, site: 'distal' });
    expect(stepSite('lower', -1)).toBe(false);
    placeAt('lower', { tooth: 47, site: 'distal' }, { pointMm: [0, 0, 0], partner: null });
    expect(selected()).toEqual({ tooth: 47, site: 'mesial' });
    expect(useStore.getState().ui.announcement.text).toMatch(
      /distal contact point of 47 placed.*mesial contact point of 47/,
    );
    expect(stepSite('lower', 1)).toBe(true);
    expect(selected()).toEqual({ tooth: 46, site: 'distal' });
  });

  it('stays where it is when the order does not lead', () => {
    actions().setUi({ markingFollowsOrder: false, selectedSite: site('mesial') });
    place('mesial', crown().mesialMm);
    expect(useStore.getState().ui.selectedSite).toEqual(site('mesial'));
    actions().setUi({ markingFollowsOrder: true });
  });

  it('confirms a proposed mark and goes on to the next proposed one', () => {
    const proposed = (tooth: number, name: 'mesial' | 'distal') =>
      ({ tooth, site: name, pointMm: [0, 0, tooth], state: 'proposed', confidence: 0.5 }) as const;
    actions().proposeMarks('lower', [proposed(46, 'distal'), proposed(46, 'mesial'), proposed(31, 'mesial')]);
    expect(confirmSite('lower', site('distal'))).toBe(true);
    expect(useStore.getState().ui.selectedSite).toEqual(site('mesial'));
    expect(confirmSite('lower', site('mesial'))).toBe(true);
    expect(useStore.getState().ui.selectedSite).toEqual({ tooth: 31, site: 'mesial' });
    expect(confirmSite('lower', site('mesial'))).toBe(false);
    expect(marksOf('lower').map((mark) => mark.state)).toEqual(['confirmed', 'confirmed', 'proposed']);
  });
});

describe('pacedWriter', () => {
  it('writes the latest value, never an old one again, and the rest at once when flushed', () => {
    vi.useFakeTimers();
    const written: number[] = [];
    const { put, flush } = pacedWriter((value: number) => written.push(value));
    for (let i = 0; i < 100; i++) {
      put(i);
      vi.advanceTimersByTime(4);
    }
    expect(written.length).toBeGreaterThan(3);
    expect(written.length).toBeLessThan(20);
    put(100);
    flush();
    expect(written.at(-1)).toBe(100);
    expect(written).toEqual([...new Set(written)].sort((a, b) => a - b));
    const count = written.length;
    flush();
    vi.advanceTimersByTime(1000);
    expect(written).toHaveLength(count);
    vi.useRealTimers();
  });
});
