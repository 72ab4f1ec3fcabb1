import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Jaw } from '../../../src/core/base/tooth.ts';
import { caseAccount } from '../../../src/core/casefile/archAccount.ts';
import { readDocument } from '../../../src/core/casefile/readDocument.ts';
import { demoCases } from '../../../src/samples/makeDemoCase.ts';
import type { SampleTruth } from '../../../src/samples/sampleTruth.ts';
import { type AccuracyGroup, errorRow } from '../AccuracyRow.ts';

const text = (file: string): string =>
  readFileSync(fileURLToPath(new URL(`../../../sample-meshes/${file}`, import.meta.url)), 'utf8');

/** The cases that are shipped measured: proposals taken as they came. */
export const demo: AccuracyGroup = {
  name: 'demo',
  rows: async () => {
    const widths: number[] = [];
    const balances: number[] = [];
    for (const { name, scans } of demoCases) {
      const account = caseAccount(readDocument(text(`${name}.case.json`), 'case'));
      for (const [jaw, scan] of Object.entries(scans) as [Jaw, string][]) {
        const truth: SampleTruth = JSON.parse(text(scan.replace(/\.\w+$/, '.truth.json')));
        const { measures, ledger } = account[jaw]!;
        for (const { tooth, widthMm } of truth.teeth)
          widths.push(measures.teeth.find((t) => t.tooth === tooth)!.widthMm - widthMm);
        balances.push(ledger.differenceMm! - truth.space.differenceMm);
      }
    }
    const common = {
      surface: 'synthetic',
      on: '3 arches of the shipped cases, proposals as they came',
      test: 'tests/samples/demoCases.test.ts',
    } as const;
    return [
      errorRow({
        ...common,
        what: 'Width in the demo cases',
        errors: widths,
        rmsBound: 0.15,
        worstBound: 0.4,
      }),
      errorRow({
        ...common,
        what: 'Balance of the space account in the demo cases',
        errors: balances,
        worstBound: 1,
      }),
    ];
  },
};
