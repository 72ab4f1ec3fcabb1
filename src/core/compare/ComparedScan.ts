import { type ArchFrame, sideways } from '../arch/ArchFrame.ts';
import type { Jaw, Tooth } from '../base/tooth.ts';
import { add, scale, type Vec3 } from '../base/Vec3.ts';
import type { CrownCorrections } from '../crowns/crownCorrections.ts';
import { type CrownShape, crownShapes } from '../crowns/crownShape.ts';
import type { CrownMap, TeethSaid } from '../crowns/findCrowns.ts';
import { proposeMarks } from '../marks/proposeMarks.ts';
import type { SurfaceIndex } from '../scan/surfaceIndex.ts';
import { alongLine } from './alongLine.ts';
import { type LabelledVertices, labelledVertices } from './crownSamples.ts';

/** A scan as it is compared: its surface, and what was said of it. */
export interface ScanSaid {
  readonly sha256: string;
  readonly index: SurfaceIndex;
  readonly frame: ArchFrame;
  readonly said: TeethSaid;
  /** What the user says of the crowns. Default: nothing. */
  readonly corrections?: CrownCorrections;
}

/** A proximal side of a crown as found on one scan. */
export interface FoundSite {
  readonly pointMm: Vec3; // contact point, scan frame
  readonly confidence: number; // 0–1
  readonly sdMm: number; // along the mesiodistal direction
}

/** One crown of a scan that is compared. */
export interface ComparedCrown {
  readonly tooth: Tooth;
  readonly label: number; // in faceCrown
  readonly shape: CrownShape;
  readonly centreMm: Vec3; // scan frame
  readonly mesial: Vec3; // the crown's own direction, unit, scan frame
  readonly along: Vec3; // of the row of teeth toward mesial, unit, scan frame
  readonly sites: readonly [FoundSite | null, FoundSite | null]; // mesial, distal
}

/** A scan with its crowns told apart. */
export interface ComparedScan {
  readonly sha256: string;
  readonly index: SurfaceIndex;
  readonly frame: ArchFrame;
  readonly map: CrownMap;
  readonly crowns: ReadonlyMap<Tooth, ComparedCrown>;
  readonly vertices: LabelledVertices; // label 0: gum
}

/**
 * Finds the crowns and contact points of a scan that is to be compared.
 *
 * Refuses:  as proposeMarks.
 */
export function comparedScan(
  scan: ScanSaid,
  jaw: Jaw,
  onStage: (doneRatio: number) => void = () => {},
): ComparedScan {
  const { index, frame, said, corrections } = scan;
  const { crowns: map, marks } = proposeMarks(
    index,
    frame,
    jaw,
    said,
    ({ doneRatio }) => onStage(doneRatio),
    corrections && { corrections },
  );
  const shapes = crownShapes(index.mesh, frame, map);
  const line = alongLine(jaw, frame, marks, said.missing);
  const crowns = new Map<Tooth, ComparedCrown>();
  map.crowns.forEach((crown, i) => {
    const shape = shapes[i];
    if (!shape) return;
    const site = (name: 'mesial' | 'distal'): FoundSite | null => {
      const mark = marks.find((m) => m.tooth === crown.tooth && m.site === name);
      return mark
        ? { pointMm: mark.pointMm, confidence: mark.confidence ?? 0, sdMm: mark.sdMm ?? 0.2 }
        : null;
    };
    const [x, y] = shape.mesial;
    const [c, s] = [Math.cos(-shape.turnRad), Math.sin(-shape.turnRad)];
    const [alongX, alongY] = line(crown.tooth, crown.centreMm) ?? [c * x - s * y, s * x + c * y];
    const inScan = (u: number, v: number): Vec3 => add(scale(sideways(frame), u), scale(frame.forward, v));
    crowns.set(crown.tooth, {
      tooth: crown.tooth,
      label: i + 1,
      shape,
      centreMm: crown.centreMm,
      mesial: inScan(x, y),
      along: inScan(alongX, alongY),
      sites: [site('mesial'), site('distal')],
    });
  });
  const vertices = labelledVertices(index.mesh, map.faceCrown, map.crowns.length + 1);
  return { sha256: scan.sha256, index, frame, map, crowns, vertices };
}
