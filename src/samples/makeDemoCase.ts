import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { findArchFrame } from '../core/arch/findArchFrame.ts';
import type { Jaw } from '../core/base/tooth.ts';
import type { ArchRecord, CaseDocument } from '../core/casefile/CaseDocument.ts';
import { caseJson } from '../core/casefile/documentJson.ts';
import { emptyCase, newArchRecord } from '../core/casefile/newCase.ts';
import { proposeMarks } from '../core/marks/proposeMarks.ts';
import { openScan } from '../core/scan/openScan.ts';
import { unpackSurfaceIndex } from '../core/scan/surfaceIndex.ts';

/** A case shipped beside the sample scans it is made on. */
export interface DemoCase {
  readonly name: string; // of the file: `<name>.case.json`
  readonly title: string;
  readonly scans: Readonly<Partial<Record<Jaw, string>>>; // files of sample-meshes/
}

export const demoCases: readonly DemoCase[] = [
  { name: 'lower-crowded', title: 'Demo: lower-crowded', scans: { lower: 'lower-crowded.ply' } },
  { name: 'pair', title: 'Demo: pair', scans: { upper: 'pair-upper.ply', lower: 'pair-lower.ply' } },
];

/** Nobody's name: the demo's marks are the program's own proposals, taken as they came. */
export const DEMO_OBSERVER = 'Demo reading';
const DEMO_TIME = '2026-01-01T00:00:00.000Z'; // invented, so that the same scans give the same file

/**
 * One arch of a demo: read from its scan file alone, as any other scan is. The proposed marks are entered as
 * confirmed and every setting stays at its default; the truth beside the scan is never read.
 */
async function demoArch(folder: string, file: string, jaw: Jaw): Promise<ArchRecord> {
  const scan = await openScan(await readFile(join(folder, file)), file);
  const { frame, confidence } = findArchFrame(scan.mesh);
  const surface = unpackSurfaceIndex(scan.mesh, scan.index);
  const proposal = proposeMarks(surface, frame, jaw, { missing: [], unerupted: [], thirdMolars: [] });
  const record = newArchRecord({
    jaw,
    scan: scan.facts,
    medianEdgeMm: scan.shape.medianEdgeMm,
    frame,
    frameConfidence: confidence,
  });
  const marks = proposal.marks.map((mark) => ({ ...mark, state: 'confirmed' as const }));
  return { ...record, readings: [{ observer: DEMO_OBSERVER, repeat: 1, marks }] };
}

/** A demo case made on the scans of a folder; the same bytes every time. */
export async function makeDemoCase(demo: DemoCase, folder: string): Promise<CaseDocument> {
  const { upper, lower } = demo.scans;
  return {
    ...emptyCase(`demo-${demo.name}`, DEMO_TIME),
    title: demo.title,
    arches: {
      upper: upper ? await demoArch(folder, upper, 'upper') : null,
      lower: lower ? await demoArch(folder, lower, 'lower') : null,
    },
  };
}

/** Writes the demo cases beside the scans. Run: npx tsx src/samples/makeDemoCase.ts sample-meshes */
async function writeDemoCases(folder: string): Promise<readonly string[]> {
  const files: string[] = [];
  for (const demo of demoCases) {
    const file = join(folder, `${demo.name}.case.json`);
    await writeFile(file, caseJson(await makeDemoCase(demo, folder)));
    files.push(file);
  }
  return files;
}

if (process.argv[1]?.endsWith('makeDemoCase.ts'))
  for (const file of await writeDemoCases(process.argv[2] ?? 'sample-meshes')) console.log(file);
