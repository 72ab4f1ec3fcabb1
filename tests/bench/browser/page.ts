import { wrap } from 'comlink';
import { GeometryClient } from '../../../workers/client.ts';
import type { LoadWork } from './load.worker.ts';

const remote = wrap<LoadWork>(new Worker(new URL('./load.worker.ts', import.meta.url), { type: 'module' }));

/** The longest task of the page while the real client opens a file in the real worker. */
async function openFile(
  triangles: number,
): Promise<{ openMs: number; longestTaskMs: number; reports: number }> {
  const file = await remote.file(triangles);
  let longestTaskMs = 0;
  const observer = new PerformanceObserver((list) => {
    for (const { duration } of list.getEntries()) longestTaskMs = Math.max(longestTaskMs, duration);
  });
  observer.observe({ type: 'longtask' });
  // A task that is long on purpose shows that the observer sees what it should.
  await new Promise((resolve) => setTimeout(resolve, 0));
  for (const start = performance.now(); performance.now() - start < 120; );
  await new Promise((resolve) => setTimeout(resolve, 500));
  if (longestTaskMs < 100) throw new Error('openFile: the observer did not see a task of 120 ms');
  longestTaskMs = 0;
  let reports = 0;
  const client = new GeometryClient();
  const start = performance.now();
  const opened = await client.open(file, file.name, { onProgress: () => reports++ });
  const openMs = performance.now() - start;
  // Entries come late; give them time.
  await new Promise((resolve) => setTimeout(resolve, 500));
  observer.disconnect();
  client.close();
  if (opened.facts.triangles < 0.9 * triangles) throw new Error('openFile: triangles are missing');
  return { openMs, longestTaskMs, reports };
}

Object.assign(globalThis, {
  bench: { load: (triangles: number, rounds: number) => remote.load(triangles, rounds), openFile },
});
