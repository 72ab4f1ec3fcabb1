import { type ProxyMethods, releaseProxy, transfer } from 'comlink';
import { makeArch } from '../src/samples/makeArch.ts';
import { writePly } from '../src/samples/writeMesh.ts';
import { outcomeOf } from './outcomeOf.ts';
import type { SampleStage, SamplesWork } from './samplesContract.ts';

/** Share of the time gone when a stage begins; measured at 100,000 triangles. */
const BEGINS_AT: Readonly<Record<SampleStage, number>> = {
  teeth: 0,
  gum: 0.18,
  surface: 0.28,
  triangles: 0.37,
  noise: 0.9,
  done: 1,
};

/** The samples worker's work: arches made from recipes, as scan files. */
export function samplesWork(): SamplesWork {
  return {
    async make(recipe, name, onProgress) {
      const report = (stage: SampleStage) => onProgress?.({ stage, doneRatio: BEGINS_AT[stage] });
      try {
        const outcome = await outcomeOf(() => {
          report('teeth');
          const { mesh, labels, truth } = makeArch(recipe, name, report);
          const ply = writePly(mesh).buffer;
          report('done');
          return { ply, triangles: labels.length, truth };
        });
        return outcome.ok ? transfer(outcome, [outcome.value.ply]) : outcome;
      } finally {
        (onProgress as Partial<ProxyMethods> | null)?.[releaseProxy]?.();
      }
    },
  };
}
