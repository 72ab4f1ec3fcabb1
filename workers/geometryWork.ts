import { releaseProxy, transfer } from 'comlink';
import { compareScans } from '../src/core/compare/compareScans.ts';
import { proposeMarks } from '../src/core/marks/proposeMarks.ts';
import { surfaceCourse } from '../src/core/reduction/motion/surfaceCourse.ts';
import type { GeometryWork } from './contract.ts';
import { KeptScans } from './keptScans.ts';
import { archBuffers, openArch } from './openArch.ts';
import { outcomeOf } from './outcomeOf.ts';

/** The work of one geometry worker: results are transferred; copies of the scans opened last stay here. */
export function makeGeometryWork(): GeometryWork {
  const kept = new KeptScans();
  return {
    async open(source, fileName, unit, onProgress) {
      try {
        const outcome = await outcomeOf(() => openArch(source, fileName, unit, onProgress ?? undefined));
        if (!outcome.ok) return outcome;
        kept.keep(outcome.value);
        return transfer(outcome, archBuffers(outcome.value));
      } finally {
        release(onProgress);
      }
    },

    async propose({ sha256, frame, jaw, said, corrections, only }, onProgress) {
      try {
        const outcome = await outcomeOf(() =>
          proposeMarks(kept.indexOf(sha256), frame, jaw, said, onProgress ?? undefined, {
            corrections,
            only,
          }),
        );
        if (!outcome.ok) return outcome;
        return transfer(outcome, [outcome.value.crowns.faceCrown.buffer as ArrayBuffer]);
      } finally {
        release(onProgress);
      }
    },

    async compare({ jaw, earlier, later }, onProgress) {
      try {
        const outcome = await outcomeOf(() => {
          const indices = [earlier, later].map(({ sha256 }) => kept.indexOf(sha256));
          return compareScans(
            { ...earlier, index: indices[0] },
            { ...later, index: indices[1] },
            jaw,
            onProgress ?? undefined,
          );
        });
        if (!outcome.ok) return outcome;
        const { wholeArch, eachTooth } = outcome.value.deviation;
        return transfer(outcome, [wholeArch.buffer as ArrayBuffer, eachTooth.buffer as ArrayBuffer]);
      } finally {
        release(onProgress);
      }
    },

    async course({ sha256, frame, pairs, faceCrown, crownTeeth }, onProgress) {
      try {
        const outcome = await outcomeOf(() =>
          surfaceCourse(
            kept.indexOf(sha256).mesh,
            frame,
            { faceCrown, crownTeeth },
            pairs,
            onProgress ?? undefined,
          ),
        );
        if (!outcome.ok) return outcome;
        const gaps = outcome.value.contacts.flatMap((c) => [c.wholeGapMm, c.reducedGapMm]);
        return transfer(
          outcome,
          gaps.map((list) => list.buffer as ArrayBuffer),
        );
      } finally {
        release(onProgress);
      }
    },
  };
}

export const geometryWork: GeometryWork = makeGeometryWork();

/** A callback from the page is a proxy with a port of its own; it would stay open. */
const release = (callback: object | null): void =>
  (callback as { [releaseProxy]?(): void } | null)?.[releaseProxy]?.();
