import type { Jaw } from '../../core/base/tooth.ts';
import { readDocument } from '../../core/casefile/readDocument.ts';
import { openScanFile, showRefusal, untilStarted } from './openScan.ts';
import type { ScanFile } from './scanFiles.ts';
import { replaceCase } from './session.ts';

/** A sample arch shipped with the page, as its list tells it. */
export interface Sample {
  readonly name: string;
  readonly file: string;
  readonly jaw: Jaw;
  readonly shows: string;
  readonly sha256: string;
}

/** A case shipped with the page, made on sample arches: measured and planned. */
export interface SampleCase {
  readonly name: string; // as the sample it is made on
  readonly url: string;
}

const lists = import.meta.glob<readonly Sample[]>('../../../sample-meshes/index.json', {
  import: 'default',
  eager: true,
});
const scanUrls = import.meta.glob<string>('../../../sample-meshes/*.{stl,ply}', {
  query: '?url',
  import: 'default',
  eager: true,
});
const caseUrls = import.meta.glob<string>('../../../sample-meshes/*.case.json', {
  query: '?url',
  import: 'default',
  eager: true,
});

const nameOf = (path: string): string => path.split('/').at(-1) ?? path;
const urlOf = (sample: Sample): string | undefined =>
  scanUrls[Object.keys(scanUrls).find((path) => nameOf(path) === sample.file) ?? ''];

export const SAMPLES: readonly Sample[] = Object.values(lists)
  .flat()
  .filter((sample) => urlOf(sample) !== undefined);

export const SAMPLE_CASES: readonly SampleCase[] = Object.entries(caseUrls).map(([path, url]) => ({
  name: nameOf(path).replace(/\.case\.json$/, ''),
  url,
}));

const FIRST_DEMO = 'lower-crowded';

async function fetched(url: string | undefined): Promise<Response> {
  const response = url ? await fetch(url) : null;
  if (!response?.ok)
    throw new Error(`fetched: got ${response?.status ?? 'no address'}, need a shipped file.`);
  return response;
}

const blobOf = async (sample: Sample): Promise<Blob> => (await fetched(urlOf(sample))).blob();

const openNow = async (sample: Sample): Promise<boolean> =>
  openScanFile({ name: sample.file, blob: await blobOf(sample) }, sample.jaw);

/** A shipped scan as a file. */
export const sampleFile = async (sample: Sample): Promise<ScanFile> => ({
  name: sample.file,
  blob: await blobOf(sample),
});

/** Opens a sample's scan into its jaw of the case at hand. */
export const openSample = async (sample: Sample): Promise<boolean> => {
  await untilStarted();
  return openNow(sample);
};

/** Opens a shipped case with its scans, as a copy of the user's own; it is kept from the first change on. */
export async function openSampleCase(sampleCase: SampleCase): Promise<void> {
  try {
    const document = readDocument(await (await fetched(sampleCase.url)).text(), 'case');
    await replaceCase({ ...document, id: crypto.randomUUID() }, null, false);
  } catch (error) {
    showRefusal(error, 'The sample case could not be opened');
  }
}

/** The shipped scan with a checksum: a case made on a sample finds it in any browser. Null where none is. */
export async function shippedScan(sha256: string): Promise<ScanFile | null> {
  const sample = SAMPLES.find((shipped) => shipped.sha256 === sha256);
  return sample ? { name: sample.file, blob: await blobOf(sample) } : null;
}

/** The first thing a new user sees; an empty page where no sample is shipped. */
export async function openFirstDemo(): Promise<void> {
  const measured = SAMPLE_CASES.find(({ name }) => name === FIRST_DEMO);
  if (measured) return openSampleCase(measured);
  const scan = SAMPLES.find(({ name }) => name === FIRST_DEMO);
  if (scan) await openNow(scan);
}
