import type { Tooth } from '../../src/core/base/tooth.ts';
import type { MarksFile } from '../../src/core/casefile/marksFile.ts';
import type { Mark, MarkSite } from '../../src/core/marks/Mark.ts';
import type { SampleTruth } from '../../src/samples/sampleTruth.ts';

/** The true contact points, cusps and edges of a generated arch as marks, but for the teeth left out. */
export function sampleMarks(truth: SampleTruth, without: readonly Tooth[] = []): MarksFile {
  const marks = truth.teeth
    .filter((t) => !without.includes(t.tooth))
    .flatMap((t): Mark[] => {
      const points = { mesial: t.mesialMm, distal: t.distalMm, cusp: t.cuspMm, incisal: t.incisalMm };
      return (Object.keys(points) as MarkSite[]).flatMap((site) => {
        const pointMm = points[site];
        return pointMm ? [{ tooth: t.tooth, site, pointMm }] : [];
      });
    });
  return { schema: 'archledger/marks@1', jaw: truth.jaw, marks };
}
