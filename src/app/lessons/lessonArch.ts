import type { SamplesClient } from '../../../workers/samplesClient.ts';
import type { MadeSample, SampleProgress } from '../../../workers/samplesContract.ts';
import { Refusal } from '../../core/base/refusal.ts';
import { emptyCase } from '../../core/casefile/newCase.ts';
import type { ArchRecipe } from '../../samples/ArchRecipe.ts';
import type { ChangeTruth } from '../../samples/changeTruth.ts';
import { recipeCode, recipeFromCode } from '../../samples/recipeCode.ts';
import type { SampleTruth } from '../../samples/sampleTruth.ts';
import { openScanFile, untilStarted } from '../files/openScan.ts';
import { partOfPage } from '../files/partOfPage.ts';
import { SAMPLES, sampleFile } from '../files/samples.ts';
import type { ScanFile } from '../files/scanFiles.ts';
import { replaceCase } from '../files/session.ts';
import { proposeOnScan } from '../proposal/proposeOnScan.ts';
import { actions, useStore } from '../store.ts';
import { openFollowUp } from '../visits/followUpScan.ts';
import { today } from '../visits/visitWords.ts';
import { type LessonId, lessonOf } from './lessonList.ts';
import { type LessonArch, leaveLesson, startLesson } from './lessonStore.ts';

let client: SamplesClient | null = null;
const made = new Map<string, MadeSample>(); // by code, of this visit to the page
const MADE_KEPT = 3;

/** Makes the arch of a recipe in the samples worker. Refuses: as SamplesClient.make. */
async function makeFromRecipe(
  recipe: ArchRecipe,
  onProgress?: (progress: SampleProgress) => void,
): Promise<{ readonly code: string; readonly sample: MadeSample }> {
  const code = recipeCode(recipe);
  const known = made.get(code);
  if (known) return { code, sample: known };
  const { SamplesClient: Client } = await partOfPage(import('../../../workers/samplesClient.ts'));
  client ??= new Client();
  // what is made is what the code says, to the step
  const sample = await client.make(recipeFromCode(code), null, onProgress);
  made.set(code, sample);
  for (const old of [...made.keys()].slice(0, -MADE_KEPT)) made.delete(old);
  return { code, sample };
}

export const cancelMaking = (): void => client?.cancel();

async function fileOf(arch: LessonArch, onProgress?: (progress: SampleProgress) => void): Promise<ScanFile> {
  if (arch.kind === 'code') {
    const { code, sample } = await makeFromRecipe(recipeFromCode(arch.code), onProgress);
    return { name: `${code.toLowerCase()}.ply`, blob: new Blob([sample.ply]) };
  }
  const sample = SAMPLES.find(({ name }) => name === arch.name);
  if (!sample)
    throw new Refusal(
      'file-access',
      `fileOf: the sample is not shipped with this page; got ${arch.name}, need one of the list. Choose another arch.`,
    );
  return sampleFile(sample);
}

/**
 * Opens an arch for a lesson, as a new case. A lesson that begins with marks gets the program's own proposals, taken
 * as they come. False where the scan was not opened.
 */
export async function openLesson(
  id: LessonId,
  arch: LessonArch,
  onProgress?: (progress: SampleProgress) => void,
): Promise<boolean> {
  await untilStarted();
  const file = await fileOf(arch, onProgress);
  leaveLesson(); // the lesson before may be held on the same scan
  const document = emptyCase(crypto.randomUUID(), new Date().toISOString());
  await replaceCase({ ...document, title: `Lesson: ${lessonOf(id).title.toLowerCase()}` }, null, false);
  actions().setActiveJaw(arch.jaw);
  if (!(await openScanFile(file, arch.jaw, 'mm', false))) return false;
  const record = useStore.getState().caseDocument.arches[arch.jaw];
  if (!record) return false;
  if (lessonOf(id).marked && (await proposeOnScan(arch.jaw))) actions().confirmMarks(arch.jaw, () => true);
  if (id === 'line') actions().setForm(arch.jaw, 'catenary'); // a choice is yet to be made
  if (id === 'follow-up') {
    const later = await fileOf({ kind: 'sample', name: FOLLOW_UP.later, jaw: arch.jaw });
    if (!(await openFollowUp(later, arch.jaw, { date: today(), afterVisit: 2 }))) return false;
  }
  startLesson({ id, arch, sha256: record.scan.sha256 });
  return true;
}

/** The scans of the lesson on a follow-up: samples that are shipped. */
export const FOLLOW_UP = { later: 'lower-crowded-finish' } as const;

const truthUrls = import.meta.glob<string>('../../../sample-meshes/*.{truth,change}.json', {
  query: '?url',
  import: 'default',
  eager: true,
});

/** The truth of a lesson's arch: read for the score alone, after the student has answered. */
export async function truthOf(arch: LessonArch): Promise<SampleTruth> {
  if (arch.kind === 'code') return (await makeFromRecipe(recipeFromCode(arch.code))).sample.truth;
  return shippedTruth(`${arch.name}.truth.json`);
}

/** What was truly done between a shipped later scan and the one before; as truthOf. */
export const changeOf = (later: string): Promise<ChangeTruth> => shippedTruth(`${later}.change.json`);

async function shippedTruth<T>(file: string): Promise<T> {
  const path = Object.keys(truthUrls).find((key) => key.endsWith(`/${file}`));
  const response = path ? await fetch(truthUrls[path]) : null;
  if (!response?.ok)
    throw new Refusal(
      'file-access',
      `shippedTruth: the truth of the sample cannot be read; got ${response?.status ?? 'no file'}, need the one shipped. Load the page again.`,
    );
  return response.json();
}
