import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import type { Jaw } from '../../src/core/base/tooth.ts';
import { caseAccount } from '../../src/core/casefile/archAccount.ts';
import type { CaseDocument } from '../../src/core/casefile/CaseDocument.ts';
import { caseJson } from '../../src/core/casefile/documentJson.ts';
import { readDocument } from '../../src/core/casefile/readDocument.ts';
import { planReduction } from '../../src/core/reduction/planReduction.ts';
import { DEMO_OBSERVER, demoCases } from '../../src/samples/makeDemoCase.ts';
import type { SampleTruth } from '../../src/samples/sampleTruth.ts';
import { rms } from '../support/proposeExperiment.ts';

const FOLDER = fileURLToPath(new URL('../../sample-meshes/', import.meta.url));
const text = (file: string): string => readFileSync(join(FOLDER, file), 'utf8');
const truthOf = (scanFile: string): SampleTruth =>
  JSON.parse(text(scanFile.replace(/\.(ply|stl)$/, '.truth.json')));

/** Within these the shipped marks agree with truth; a proposal looked at by nobody is not held to less. */
const WIDTH_RMS_MM = 0.15;
const WIDTH_WORST_MM = 0.4;
const DIFFERENCE_MM = 1;

interface DemoArch {
  readonly of: string;
  readonly jaw: Jaw;
  readonly scanFile: string;
  readonly document: CaseDocument;
}

const arches = demoCases.flatMap(({ name, scans }): DemoArch[] => {
  const document = readDocument(text(`${name}.case.json`), 'case');
  return (Object.entries(scans) as [Jaw, string][]).map(([jaw, scanFile]) => ({
    of: name,
    jaw,
    scanFile,
    document,
  }));
});

it('a demo is there for the page to begin with', () => {
  expect(demoCases.map(({ name }) => name)).toContain('lower-crowded');
});

describe.each(arches)('shipped case $of, $jaw arch', ({ of, jaw, scanFile, document }) => {
  const record = document.arches[jaw]!;
  const account = caseAccount(document)[jaw]!;
  const truth = truthOf(scanFile);

  it('reads, and is written again as it stands', () => {
    expect(caseJson(document)).toBe(text(`${of}.case.json`));
  });

  it('was made on the scan that is shipped', () => {
    const bytes = readFileSync(join(FOLDER, scanFile));
    expect(record.scan).toMatchObject({ file: scanFile, byteCount: bytes.length });
    expect(record.scan.sha256).toBe(createHash('sha256').update(bytes).digest('hex'));
  });

  it('is a reading by nobody in particular, confirmed, and not the truth itself', () => {
    expect(record.readings.map(({ observer }) => observer)).toEqual([DEMO_OBSERVER]);
    const { marks } = record.readings[0];
    expect(marks.every(({ state }) => state === 'confirmed')).toBe(true);
    const errors = marks.flatMap(({ tooth, site, pointMm }) => {
      const of = truth.teeth.find((t) => t.tooth === tooth)!;
      const exact = { mesial: of.mesialMm, distal: of.distalMm, cusp: of.cuspMm, incisal: of.incisalMm }[
        site
      ];
      return exact ? [Math.hypot(...pointMm.map((x, k) => x - exact[k]))] : [];
    });
    expect(errors.length).toBeGreaterThan(30);
    expect(rms(errors)).toBeGreaterThan(0.01);
  });

  it('its widths agree with truth', () => {
    const errors = truth.teeth.map(
      ({ tooth, widthMm }) => account.measures.teeth.find((t) => t.tooth === tooth)!.widthMm - widthMm,
    );
    expect(errors).toHaveLength(14);
    expect(rms(errors)).toBeLessThan(WIDTH_RMS_MM);
    expect(Math.max(...errors.map(Math.abs))).toBeLessThan(WIDTH_WORST_MM);
  });

  it('opens measured and planned', () => {
    const { ledger, asked } = account;
    expect(Math.abs(ledger.differenceMm! - truth.space.differenceMm)).toBeLessThan(DIFFERENCE_MM);
    const plan = planReduction(asked!.request);
    expect(plan.plannedMm).toBeGreaterThan(0);
  });
});
