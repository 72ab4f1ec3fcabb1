import { readFileSync } from 'node:fs';
import type { ArchRecord, CaseDocument } from '../../src/core/casefile/CaseDocument.ts';
import { readDocument } from '../../src/core/casefile/readDocument.ts';

/** The shipped demo case of a crowded lower arch. */
export const demoCase = (): CaseDocument =>
  readDocument(readFileSync('sample-meshes/lower-crowded.case.json', 'utf8'), 'case');

export function lowerOf(document: CaseDocument): ArchRecord {
  const { lower } = document.arches;
  if (!lower) throw new Error('no lower arch');
  return lower;
}

export const withLower = (document: CaseDocument, change: Partial<ArchRecord>): CaseDocument => ({
  ...document,
  arches: { ...document.arches, lower: { ...lowerOf(document), ...change } },
});
