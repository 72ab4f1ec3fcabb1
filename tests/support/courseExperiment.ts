import { archFrame } from '../../src/core/arch/ArchFrame.ts';
import type { Contact, Jaw, Tooth } from '../../src/core/base/tooth.ts';
import { PLAN_DEFAULTS } from '../../src/core/casefile/planDefaults.ts';
import { findCrowns } from '../../src/core/crowns/findCrowns.ts';
import type { PlacedMark } from '../../src/core/marks/Mark.ts';
import { measureArch } from '../../src/core/measure/measureArch.ts';
import { COURSE_DEFAULTS } from '../../src/core/reduction/motion/CourseSettings.ts';
import { type PlannedCourse, plannedCourse } from '../../src/core/reduction/motion/plannedCourse.ts';
import type { PlanePose } from '../../src/core/reduction/motion/StandingTooth.ts';
import { type FoundCrowns, surfaceCourse } from '../../src/core/reduction/motion/surfaceCourse.ts';
import { planReduction } from '../../src/core/reduction/planReduction.ts';
import { reductionRequest } from '../../src/core/reduction/reductionRequest.ts';
import { spaceLedger } from '../../src/core/space/spaceLedger.ts';
import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { crownGap, surfaceGap, wallPoints } from '../../src/samples/crownGap.ts';
import { type GeneratedArch, makeArch } from '../../src/samples/makeArch.ts';
import { PlacedCrown } from '../../src/samples/PlacedCrown.ts';
import { makeMesh } from './meshes.ts';
import { sampleMarks } from './sampleMarks.ts';

const NOTHING = { missing: [], unerupted: [], thirdMolars: [], enteredWidths: [] } as const;

/** One contact of a generated arch: gaps of the exact crowns beside those found, mm; negative: overlap. */
export interface CourseContact {
  readonly teeth: Contact;
  readonly startExactMm: number;
  readonly endExactMm: number; // nothing taken
  readonly plannedMm: number;
  readonly start: { readonly widthsMm: number; readonly surfacesMm: number };
  readonly end: { readonly widthsMm: number; readonly surfacesMm: number }; // nothing taken
  readonly endReduced: { readonly widthsMm: number; readonly surfacesMm: number };
}

export interface CourseExperiment {
  readonly seed: number;
  readonly stageCount: number;
  readonly contacts: readonly CourseContact[];
  readonly freeMm: number; // left over beside the molars, both sides
  readonly msPerStage: number;
}

/** Arches crowded by 0 to 5 mm, upper and lower by turns. */
export const courseRecipes = (count: number, fromSeed = 501, triangles = 60_000): readonly ArchRecipe[] =>
  Array.from({ length: count }, (_, i) => ({
    jaw: i % 2 ? 'upper' : 'lower',
    seed: fromSeed + i,
    crowdingMm: [3.5, 2, 5, 0][i % 4],
    triangles,
  }));

function found(arch: GeneratedArch, jaw: Jaw, crowns: 'found' | 'true'): FoundCrowns {
  const { frame } = arch.truth;
  if (crowns === 'true') {
    const crownTeeth = [...new Set(arch.labels)].filter((label) => label > 0).sort();
    return { faceCrown: arch.labels.map((label) => 1 + crownTeeth.indexOf(label)), crownTeeth };
  }
  const mesh = makeMesh(arch.mesh.positions, arch.mesh.indices);
  const own = archFrame(frame.originMm, frame.occlusal, frame.forward);
  const map = findCrowns(mesh, own, jaw, NOTHING);
  return { faceCrown: map.faceCrown, crownTeeth: map.crowns.map(({ tooth }) => tooth) };
}

/** The exact crown carried along as the course carries the scanned one. */
function carried(crown: PlacedCrown, from: PlanePose, to: PlanePose): PlacedCrown {
  const turn = to.directionRad - from.directionRad;
  const [c, s] = [Math.cos(turn), Math.sin(turn)];
  const [x, y, z] = crown.stand.middleMm;
  const [dx, dy] = [x - from.centreMm[0], y - from.centreMm[1]];
  return new PlacedCrown(crown.tooth, crown.crown, {
    ...crown.stand,
    middleMm: [to.centreMm[0] + c * dx - s * dy, to.centreMm[1] + s * dx + c * dy, z],
    headingRad: crown.stand.headingRad + turn,
  });
}

/** Signed distance of two exact crowns. */
function exactGap(a: PlacedCrown, b: PlacedCrown): number {
  const one = (p: PlacedCrown, q: PlacedCrown): number => {
    const facing = p.toLocal(q.toArch([0, 0, q.crown.heightMm / 2]))[0] > 0 ? 1 : -1;
    return crownGap(p, wallPoints(p.crown, facing), q);
  };
  const depth = Math.min(one(a, b), one(b, a));
  return depth < 0.02 ? depth : Math.min(surfaceGap(a, b), surfaceGap(b, a));
}

/** True contact points marked, planned with the defaults, moved; crowns as found on the mesh or as truly labelled. */
export function courseExperiment(recipe: ArchRecipe, crowns: 'found' | 'true'): CourseExperiment {
  const arch = makeArch(recipe);
  const { truth, mesh } = arch;
  const frame = archFrame(truth.frame.originMm, truth.frame.occlusal, truth.frame.forward);
  const marks = sampleMarks(truth).marks.map(
    (mark): PlacedMark => ({ ...mark, state: 'confirmed', confidence: null }),
  );
  const measures = measureArch({
    jaw: recipe.jaw,
    frame,
    marks,
    missing: [],
    enteredWidths: [],
    form: 'spline',
    forms: [],
    markSdMm: 0.07,
    medianEdgeMm: 0.3,
  });
  const ledger = spaceLedger({
    measures,
    chart: NOTHING,
    perimeter: 'line',
    allowances: [],
    prediction: null,
    opposing: null,
  });
  const present = truth.teeth.map(({ tooth }) => tooth);
  const { request } = reductionRequest({ jaw: recipe.jaw, ledger, settings: PLAN_DEFAULTS, present });
  const plan = planReduction(request);
  const planned = plannedCourse({ measures, marks, plan, settings: COURSE_DEFAULTS });
  if (!planned) throw new Error('courseExperiment: no arch line.');
  const regions = found(arch, recipe.jaw, crowns);
  const began = performance.now();
  const surfaces = surfaceCourse(mesh, frame, regions, planned.pairs);
  const msPerStage = (performance.now() - began) / (planned.course.stageCount + 1);
  return {
    seed: recipe.seed,
    stageCount: planned.course.stageCount,
    contacts: contactsOf(arch, planned, surfaces.contacts, plan.contacts),
    freeMm: planned.course.row.freeMm.right + planned.course.row.freeMm.left,
    msPerStage,
  };
}

function contactsOf(
  { arrangement }: GeneratedArch,
  { course, contacts }: PlannedCourse,
  surfaces: ReturnType<typeof surfaceCourse>['contacts'],
  plan: readonly { readonly teeth: Contact; readonly totalMm: number }[],
): readonly CourseContact[] {
  const exact = new Map(arrangement.teeth.map((crown) => [crown.tooth, crown]));
  const moved = (tooth: Tooth): PlacedCrown => {
    const { poses } = course.teeth.find(({ standing }) => standing.tooth === tooth)!;
    return carried(exact.get(tooth)!, poses[0], poses[poses.length - 1]);
  };
  return contacts.map(({ teeth, stages }): CourseContact => {
    const [a, b] = teeth;
    const last = stages.length - 1;
    const surface = surfaces.find((s) => s.teeth[0] === a && s.teeth[1] === b)!;
    return {
      teeth,
      startExactMm: exactGap(exact.get(a)!, exact.get(b)!),
      endExactMm: exactGap(moved(a), moved(b)),
      plannedMm: plan.find((p) => p.teeth[0] === a && p.teeth[1] === b)?.totalMm ?? 0,
      start: { widthsMm: stages[0].wholeGapMm, surfacesMm: surface.wholeGapMm[0] },
      end: { widthsMm: stages[last].wholeGapMm, surfacesMm: surface.wholeGapMm[last] },
      endReduced: { widthsMm: stages[last].reducedGapMm, surfacesMm: surface.reducedGapMm[last] },
    };
  });
}

/** Root mean square and the greatest amount of errors. */
export const spread = (errors: readonly number[]): { readonly rms: number; readonly worst: number } => ({
  rms: Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / errors.length),
  worst: Math.max(...errors.map(Math.abs)),
});
