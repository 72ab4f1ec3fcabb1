import { releaseProxy, transfer } from 'comlink';
import type { GeometryWork, OpenProgress } from './contract.ts';
import { archBuffers, openArch } from './openArch.ts';
import { outcomeOf } from './outcomeOf.ts';

/** The geometry worker's work; its results are transferred, so nothing of them stays here. */
export const geometryWork: GeometryWork = {
  async open(source, fileName, unit, onProgress) {
    try {
      const outcome = await outcomeOf(() => openArch(source, fileName, unit, onProgress ?? undefined));
      return outcome.ok ? transfer(outcome, archBuffers(outcome.value)) : outcome;
    } finally {
      // The callback is a proxy with a port of its own; it would stay open.
      (onProgress as ProgressProxy | null)?.[releaseProxy]?.();
    }
  },
};

type ProgressProxy = ((progress: OpenProgress) => void) & { [releaseProxy]?(): void };
