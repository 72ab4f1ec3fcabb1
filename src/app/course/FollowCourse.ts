import { useEffect, useMemo, useState } from 'react';
import type { Jaw, Tooth } from '../../core/base/tooth.ts';
import { crownOfVertices } from '../scene/crownTint.ts';
import type { DisplayParts } from '../scene/displayParts.ts';
import { useScanOf } from '../store.ts';
import { moveMatrices, type RigidMove } from './crownMoves.ts';
import { useFoundCrowns } from './surfaceRuns.ts';
import { useCourseStage } from './useCourse.ts';
import { useCourseMoves } from './useCourseMoves.ts';

/** The drawn mesh told apart into crowns that can be moved. */
interface DrawnCrowns {
  readonly faceCrown: Uint8Array; // it was made of
  readonly parts: DisplayParts;
  readonly crownOf: Uint8Array; // per drawn vertex: 0 gum, else 1 + index of the crown
  /** Per block: faces that do not join two crowns. */
  readonly indices: readonly Uint32Array[];
  /** Faces that do: drawn out between crowns that part, they are shown dark, as nothing was seen there. */
  readonly seams: Uint32Array;
}

/** Crowns drawn away from where they were scanned. */
export interface MovedSurface {
  readonly crowns: DrawnCrowns;
  readonly matrices: Float32Array; // see moveMatrices
  readonly moves: ReadonlyMap<Tooth, RigidMove>;
  readonly words: string; // which stage
}

/** Faces told apart by whether their corners lie on two different crowns. */
export function splitSeams(
  indices: Uint32Array,
  crownOf: Uint8Array,
): { readonly kept: Uint32Array; readonly seams: readonly number[] } {
  const kept = new Uint32Array(indices.length);
  const seams: number[] = [];
  let count = 0;
  for (let i = 0; i < indices.length; i += 3) {
    const [a, b, c] = [crownOf[indices[i]], crownOf[indices[i + 1]], crownOf[indices[i + 2]]];
    const isSeam = (a && b && a !== b) || (b && c && b !== c) || (a && c && a !== c);
    for (let k = 0; k < 3; k++) {
      if (isSeam) seams.push(indices[i + k]);
      else kept[count++] = indices[i + k];
    }
  }
  return { kept: kept.slice(0, count), seams };
}

/** The drawn surface with its crowns at the stage looked at; null where it is drawn as it was scanned. */
function useMovedSurface(jaw: Jaw, parts: DisplayParts | null): MovedSurface | null {
  const scan = useScanOf(jaw);
  const found = useFoundCrowns(jaw);
  const moves = useCourseMoves(jaw);
  const { planned, stage } = useCourseStage(jaw);
  const faceCrown = planned && found ? found.crowns.faceCrown : null;
  const [crowns, setCrowns] = useState<DrawnCrowns | null>(null);
  useEffect(() => {
    if (!scan || !parts || !faceCrown) return;
    let wanted = true;
    crownOfVertices(scan, faceCrown).then((crownOf) => {
      if (!wanted) return;
      const split = parts.blocks.map((block) => splitSeams(block.indices, crownOf));
      const indices = split.map(({ kept }) => kept);
      const seams = Uint32Array.from(split.flatMap((part) => part.seams));
      setCrowns({ faceCrown, parts, crownOf, indices, seams });
    });
    return () => {
      wanted = false;
    };
  }, [scan, parts, faceCrown]);
  const fits = crowns && crowns.faceCrown === faceCrown && crowns.parts === parts;
  const words = `stage ${stage} of ${planned?.course.stageCount ?? 0}`;
  return useMemo(() => {
    if (!fits || !found || !moves) return null;
    const crownTeeth = found.crowns.crowns.map(({ tooth }) => tooth);
    return { crowns, moves, matrices: moveMatrices(crownTeeth, moves), words };
  }, [fits, crowns, found, moves, words]);
}

/**
 * Tells which crowns are drawn moved while the course is looked at, and that none are when it no longer is; a component
 * of its own, so that a moved mark renders nothing of the scene while it is not.
 */
export function FollowCourse({
  jaw,
  parts,
  onMoved,
}: {
  jaw: Jaw;
  parts: DisplayParts | null;
  onMoved: (moved: MovedSurface | null) => void;
}): null {
  const moved = useMovedSurface(jaw, parts);
  useEffect(() => onMoved(moved), [moved, onMoved]);
  useEffect(() => () => onMoved(null), [onMoved]);
  return null;
}
