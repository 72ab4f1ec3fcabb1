import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { readManifest } from '../../src/cli/batch/readManifest.ts';
import { Refusal } from '../../src/core/base/refusal.ts';
import { archAccount, caseAccount } from '../../src/core/casefile/archAccount.ts';
import type { CaseDocument } from '../../src/core/casefile/CaseDocument.ts';
import { documentJson } from '../../src/core/casefile/documentJson.ts';
import { marksFile } from '../../src/core/casefile/marksFile.ts';
import { measurementFile } from '../../src/core/casefile/measurementFile.ts';
import { type DocumentKind, readDocument } from '../../src/core/casefile/readDocument.ts';
import { planReduction } from '../../src/core/reduction/planReduction.ts';
import type { ReductionRequest } from '../../src/core/reduction/ReductionPlan.ts';
import { type ParseCsv, readTable, tableText } from '../../src/core/study/readTable.ts';
import { study, studyFile } from '../../src/core/study/study.ts';
import { tablePairs } from '../../src/core/study/tablePairs.ts';
import { recipeCode, recipeFromCode } from '../../src/samples/recipeCode.ts';
import { fullCase } from '../core/casefile/arbitraryCase.ts';
import { demoCase, lowerOf } from '../support/demoCase.ts';
import { edited, edits, FUZZ_TIMEOUT_MS, fuzzRuns, Slowest, valueOrRefusal } from '../support/fuzz.ts';
import { makeRequest } from '../support/reductionRequests.ts';

// Damaged and malicious documents and tables: whatever stands in them, a reader gives a document or refuses in the
// house's form, and what was accepted can be worked with. ARCHLEDGER_FUZZ_RUNS=100000 for a long run.

const demo = lowerOf(demoCase());
const demoAccount = archAccount(demo);
const request = makeRequest();
const values = [8.1, 7.9, 8.4, 6.5, 6.6, 7.2, 5.9, 8.8];
const pairs = values.map((a, i) => ({
  a,
  b: a + [0.1, -0.2, 0.05, 0][i % 4],
  by: i % 2 ? 'upper' : 'lower',
}));

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
const textOf = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);

const DOCUMENTS: readonly (readonly [DocumentKind, string])[] = [
  ['case', documentJson(fullCase(), 'case')],
  ['case', readFileSync('sample-meshes/pair.case.json', 'utf8')],
  ['marks', documentJson(marksFile(demo.readings[0], 'lower'), 'marks')],
  [
    'measurement',
    documentJson(
      measurementFile(demoAccount.measures, demo.scan, demoAccount.ledger, demo.form),
      'measurement',
    ),
  ],
  ['reduction-request', documentJson(request, 'reduction-request')],
  ['reduction-plan', documentJson(planReduction(request), 'reduction-plan')],
  ['study', documentJson(studyFile(study(pairs)), 'study')],
];

/** What was accepted is worked with as page and command line do; only refusals may come of it. */
function workWith(kind: DocumentKind, document: unknown): void {
  if (kind === 'case') valueOrRefusal(() => caseAccount(document as CaseDocument));
  if (kind === 'reduction-request') valueOrRefusal(() => planReduction(document as ReductionRequest));
}

/** Values on which fields break. */
const STRANGE: readonly unknown[] = [
  ...[
    null,
    true,
    false,
    0,
    -1,
    1,
    0.1,
    2,
    8,
    11,
    18,
    48,
    55,
    99,
    1e-300,
    1e300,
    -1e300,
    1e21,
    2 ** 53,
    20_000_001,
  ],
  ...[
    '',
    'x',
    '11',
    '=1+1',
    '<img src=x>',
    '\ud800',
    '\u0000',
    'x'.repeat(5000),
    '__proto__',
    '2025-02-30',
    '.',
  ],
  ...[[], {}, [[]], [null], [0, 0, 0], [1e300, 1e300, 1e300], { value: 1 }, [11, 12], [48, 47], [11, 41]],
];

type Holder = Record<string, unknown>;

/** Every place in a value that can be changed. */
function placesOf(value: unknown, into: (readonly [Holder, string])[] = []): (readonly [Holder, string])[] {
  if (typeof value !== 'object' || value === null) return into;
  for (const key of Object.keys(value)) {
    into.push([value as Holder, key]);
    placesOf((value as Holder)[key], into);
  }
  return into;
}

describe('documents', () => {
  it('damaged as texts are read or refused, never more', { timeout: FUZZ_TIMEOUT_MS }, () => {
    const slowest = new Slowest();
    const sources = DOCUMENTS.map(([, text]) => bytesOf(text));
    const index = fc.nat(DOCUMENTS.length - 1);
    fc.assert(
      fc.property(index, index, edits, (i, j, changes) => {
        const [kind] = DOCUMENTS[i];
        const text = textOf(edited(sources[i], changes, sources[j]));
        const startMs = performance.now();
        const read = valueOrRefusal(() => readDocument(text, kind));
        slowest.note(startMs, !(read instanceof Refusal));
      }),
      fuzzRuns(1500),
    );
    slowest.tell('documents damaged as texts');
  });

  it('changed field by field are refused, or can be worked with', { timeout: FUZZ_TIMEOUT_MS }, () => {
    const slowest = new Slowest();
    const change = fc.tuple(fc.nat(), fc.nat(6), fc.nat());
    fc.assert(
      fc.property(
        fc.nat(DOCUMENTS.length - 1),
        fc.array(change, { minLength: 1, maxLength: 4 }),
        fc.double(),
        (i, changes, number) => {
          const [kind, text] = DOCUMENTS[i];
          const document: unknown = JSON.parse(text);
          for (const [place, how, value] of changes) {
            const places = placesOf(document);
            if (places.length === 0) break;
            const [holder, key] = places[place % places.length];
            const [otherHolder, otherKey] = places[value % places.length];
            if (how === 0) delete holder[key];
            else if (how === 1) holder[`${key}x`] = holder[key];
            else if (how === 2) holder[key] = structuredClone(otherHolder[otherKey]);
            else if (how === 3 && typeof holder[key] === 'number') holder[key] = number;
            else if (how === 4 && typeof holder[key] === 'number')
              holder[key] = (holder[key] as number) * [-1, 0.5, 2, 1000, 0][value % 5];
            else if (how === 5 && Array.isArray(holder[key]))
              (holder[key] as unknown[]).push(...structuredClone(holder[key] as unknown[]));
            else holder[key] = structuredClone(STRANGE[value % STRANGE.length]);
          }
          const startMs = performance.now();
          const changed = JSON.stringify(document);
          const read = valueOrRefusal(() => readDocument(changed, kind));
          if (!(read instanceof Refusal)) workWith(kind, read);
          slowest.note(startMs, !(read instanceof Refusal));
        },
      ),
      fuzzRuns(1000),
    );
    slowest.tell('documents changed field by field');
    expect(slowest.accepted).toBeGreaterThan(0);
  });

  it('far too deep, too many and too long are refused at once', () => {
    const deep = `${'['.repeat(1_000_000)}`;
    const keys = `{${Array.from({ length: 500_000 }, (_, i) => `"k${i}":0`).join(',')}}`;
    const long = `"${'x'.repeat(17_000_000)}"`;
    for (const text of [deep, keys, long]) {
      const read = valueOrRefusal(() => readDocument(text, 'case')); // one reader of JSON serves all kinds
      expect(read instanceof Refusal && read.code).toBe('file-too-large');
    }
  });
});

describe('tables', () => {
  const PAIRS = bytesOf(
    `tooth;scan;caliper;who\n${pairs.map(({ a, b }, i) => `${11 + i};${String(a).replace('.', ',')};${String(b).replace('.', ',')};"A ""b"""`).join('\r\n')}\n`,
  );
  const MANIFEST = bytesOf(
    'case,scan,jaw,teeth,missing,unit\none,a.stl,lower,47-37,"36 46",mm\n,b.ply,upper,,,\n',
  );

  it('of pairs give figures or are refused', { timeout: FUZZ_TIMEOUT_MS }, () => {
    const slowest = new Slowest();
    fc.assert(
      fc.property(edits, (changes) => {
        const bytes = edited(PAIRS, changes, MANIFEST);
        const startMs = performance.now();
        const read = valueOrRefusal(() => {
          const table = readTable(tableText(bytes), Papa.parse as unknown as ParseCsv);
          const { rows } = tablePairs(table, { columns: ['scan', 'caliper'], by: 'who' });
          return documentJson(studyFile(study(rows)), 'study');
        });
        if (!(read instanceof Refusal)) readDocument(read, 'study');
        slowest.note(startMs, !(read instanceof Refusal));
      }),
      fuzzRuns(1000),
    );
    slowest.tell('tables of pairs');
    expect(slowest.accepted).toBeGreaterThan(0);
  });

  it('of cases for a batch give cases with their faults or are refused', { timeout: FUZZ_TIMEOUT_MS }, () => {
    const slowest = new Slowest();
    fc.assert(
      fc.property(edits, (changes) => {
        const startMs = performance.now();
        const read = valueOrRefusal(() => readManifest(edited(MANIFEST, changes, PAIRS), '/scans'));
        if (!(read instanceof Refusal))
          for (const { name } of read) expect(name).toMatch(/^[\p{L}\p{N}._-]+$/u); // part of file names
        slowest.note(startMs, !(read instanceof Refusal));
      }),
      fuzzRuns(1000),
    );
    slowest.tell('manifests');
    expect(slowest.accepted).toBeGreaterThan(0);
  });
});

describe('codes of generated arches', () => {
  it('are read or refused', { timeout: FUZZ_TIMEOUT_MS }, () => {
    const slowest = new Slowest();
    const code = bytesOf(recipeCode({ jaw: 'lower', seed: 5, crowdingMm: 3, missing: [] as never }));
    fc.assert(
      fc.property(edits, fc.string({ unit: 'binary', maxLength: 60 }), (changes, text) => {
        const startMs = performance.now();
        for (const tried of [textOf(edited(code, changes, bytesOf(text))), `A1-L5-${text}`])
          slowest.note(startMs, !(valueOrRefusal(() => recipeFromCode(tried)) instanceof Refusal));
      }),
      fuzzRuns(1000),
    );
    slowest.tell('codes');
  });
});
