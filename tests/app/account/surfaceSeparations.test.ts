import { readFileSync } from 'node:fs';
import { beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { archAccountOf } from '../../../src/app/account/useArchAccount.ts';
import type { LoadedScanOnPage } from '../../../src/app/LoadedScanOnPage.ts';
import { actions, undo, useStore } from '../../../src/app/store.ts';
import { measureScan } from '../../../src/cli/measureScan.ts';
import { type ArchFrameProposal, findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import type { ArchRecord } from '../../../src/core/casefile/CaseDocument.ts';
import type { MeasurementFile } from '../../../src/core/casefile/measurementSchema.ts';
import { type MarkProposal, proposeMarks } from '../../../src/core/marks/proposeMarks.ts';
import { openScan } from '../../../src/core/scan/openScan.ts';
import { unpackSurfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';

let scan: LoadedScanOnPage;
let frame: ArchFrameProposal;
let proposal: MarkProposal;
let printed: MeasurementFile;

const record = (): ArchRecord => useStore.getState().caseDocument.arches.upper!;
const contacts = () => archAccountOf(record(), null)!.measures.contacts;
const contact = (a: number, b: number) => contacts().find(({ teeth }) => teeth[0] === a && teeth[1] === b)!;

/** Until what the account lacks was measured between frames: all contacts of a place are told of together. */
const filled = (): Promise<void> =>
  vi.waitFor(() => expect(contact(12, 11).separationFrom).toBe('surface'), { timeout: 20_000 });

beforeAll(async () => {
  const opened = await openScan(
    readFileSync(new URL('../../../sample-meshes/upper-spaced.ply', import.meta.url)),
    'upper-spaced.ply',
  );
  const index = unpackSurfaceIndex(opened.mesh, opened.index);
  const { facts, shape, findings, mesh } = opened;
  scan = { facts, shape, findings, mesh, index, display: mesh };
  frame = findArchFrame(mesh);
  const said = { missing: [], unerupted: [], thirdMolars: [] };
  proposal = proposeMarks(index, frame.frame, 'upper', said);
  printed = measureScan(opened, { jaw: 'upper', missing: [], range: null, marks: null });
});

beforeEach(() => {
  actions().newCase();
  useStore.setState({ scans: {} });
  actions().openScanInto('upper', { scan, frame: frame.frame, frameConfidence: frame.confidence });
  actions().proposeMarks('upper', proposal.marks);
});

describe('separations on the page', () => {
  it('are those of the command line, to the bit', async () => {
    await filled();
    expect(printed.contacts).toHaveLength(13);
    expect(contacts().map(({ teeth, separation }) => [teeth, separation?.valueMm ?? null])).toEqual(
      printed.contacts.map(({ teeth, separationMm }) => [teeth, separationMm]),
    );
    expect(contacts().filter(({ separationFrom }) => separationFrom === 'surface').length).toBeGreaterThan(8);
  });

  it('come from the marks until they are measured, and without the scan', async () => {
    const other = proposal.marks.map((mark) => ({
      ...mark,
      pointMm: [mark.pointMm[0] + 0.01, mark.pointMm[1], mark.pointMm[2]] as const,
    }));
    actions().proposeMarks('upper', other);
    expect(contacts().every(({ separationFrom }) => separationFrom === 'marks')).toBe(true);
    await filled();
    expect(contact(12, 11).separationFrom).toBe('surface');
    expect(contact(12, 11).separation).not.toEqual(contact(12, 11).alongArch);
    useStore.setState({ scans: {} });
    expect(contact(12, 11).separationFrom).toBe('marks');
    expect(contact(12, 11).separation).toEqual(contact(12, 11).alongArch);
  });

  it('follow a moved mark at once', async () => {
    await filled();
    const before = contact(12, 11);
    const { pointMm } = proposal.marks.find((mark) => mark.tooth === 12 && mark.site === 'mesial')!;
    actions().moveMark('upper', 12, 'mesial', [pointMm[0], pointMm[1], pointMm[2] + 0.2]);
    const after = contact(12, 11);
    expect(after.separationFrom).toBe('surface');
    expect(after.alongArch).not.toEqual(before.alongArch);
    expect(Math.abs(after.separation!.valueMm - before.separation!.valueMm)).toBeLessThan(0.05);
    undo();
    expect(contact(12, 11).separation).toEqual(before.separation);
  });

  it('change nothing but the contacts', async () => {
    await filled();
    const account = archAccountOf(record(), null)!;
    useStore.setState({ scans: {} });
    const bare = archAccountOf(record(), null)!;
    expect(account.ledger).toEqual(bare.ledger);
    expect({ ...account.measures, contacts: [] }).toEqual({ ...bare.measures, contacts: [] });
  });
});
