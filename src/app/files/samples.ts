import type { Jaw } from '../../core/base/tooth.ts';
import { readDocument } from '../../core/casefile/readDocument.ts';
import { jawName } from '../format.ts';
import { setFiles } from './fileStore.ts';
import { openScanFile, scanFiles, showRefusal } from './openScan.ts';

/** A sample arch shipped with the page. */
export interface Sample {
  readonly id: string; // file name without ending
  readonly fileName: string;
  readonly jaw: Jaw;
  readonly title: string;
  readonly url: string;
  readonly caseUrl: string | null; // the same arch already measured and planned
}

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

/** "lower-crowded" → Lower arch: crowded. The jaw stands in the name of every sample. */
function sampleOf(path: string): Sample | null {
  const fileName = nameOf(path);
  const id = fileName.replace(/\.[^.]+$/, '');
  const words = id.split('-');
  const jaw = words.find((word): word is Jaw => word === 'upper' || word === 'lower');
  if (!jaw) return null;
  const rest = words.filter((word) => word !== jaw).join(' ');
  const casePath = Object.keys(caseUrls).find((p) => nameOf(p) === `${id}.case.json`);
  return {
    id,
    fileName,
    jaw,
    title: `${jawName(jaw)}: ${rest || 'sample'}`,
    url: scanUrls[path],
    caseUrl: casePath ? caseUrls[casePath] : null,
  };
}

export const SAMPLES: readonly Sample[] = Object.keys(scanUrls)
  .map(sampleOf)
  .filter((sample) => sample !== null)
  .sort((a, b) => a.title.localeCompare(b.title));

const FIRST_DEMO = 'lower-crowded';

const fetched = async (url: string): Promise<Response> => {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`fetched: got ${response.status} for ${url}, need the shipped file.`);
  return response;
};

/** Opens a sample's scan into its jaw of the case at hand. */
export async function openSample(sample: Sample): Promise<boolean> {
  const blob = await (await fetched(sample.url)).blob();
  return openScanFile({ name: sample.fileName, blob }, sample.jaw);
}

/** Opens the case made on a sample: measured, planned, every mark there to be looked at. */
export async function openSampleCase(sample: Sample): Promise<void> {
  const { replaceCase } = await import('./session.ts');
  try {
    const blob = await (await fetched(sample.url)).blob();
    if (!sample.caseUrl) return;
    const document = readDocument(await (await fetched(sample.caseUrl)).text(), 'case');
    const record = document.arches[sample.jaw];
    if (record) scanFiles.set(record.scan.sha256, { name: sample.fileName, blob });
    // A copy of the user's own from the first change on; the shipped file stays as it is.
    await replaceCase({ ...document, id: crypto.randomUUID() }, null, false);
  } catch (error) {
    showRefusal(error, 'The sample case could not be opened');
  }
}

/** The first thing a new user sees; an empty page where no sample is shipped. */
export async function openFirstDemo(): Promise<void> {
  const demo = SAMPLES.find((sample) => sample.id === FIRST_DEMO) ?? SAMPLES[0];
  if (!demo) return;
  setFiles({ starting: true });
  if (demo.caseUrl) await openSampleCase(demo);
  else await openSample(demo);
}
