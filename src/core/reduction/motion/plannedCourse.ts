import type { Contact, Tooth } from '../../base/tooth.ts';
import type { PlacedMark } from '../../marks/Mark.ts';
import type { ArchMeasures } from '../../measure/ArchMeasures.ts';
import type { ReductionPlan } from '../ReductionPlan.ts';
import { type ArchTrack, archTrack } from './archTrack.ts';
import type { CourseSettings } from './CourseSettings.ts';
import { type ContactCourse, contactCourses, facingPairs } from './contactCourse.ts';
import { type RowGap, standingTeeth } from './StandingTooth.ts';
import type { SurfacePair } from './surfaceCourse.ts';
import { type ToothCourse, toothCourse } from './toothCourse.ts';

export interface CourseInput {
  readonly measures: ArchMeasures;
  readonly marks: readonly PlacedMark[];
  readonly plan: ReductionPlan | null; // null: nothing is taken
  readonly settings: CourseSettings;
}

/** The teeth on their way to the planned arch, by the measured widths. */
export interface PlannedCourse {
  readonly track: ArchTrack;
  readonly course: ToothCourse;
  readonly contacts: readonly ContactCourse[]; // from first molar to first molar
  readonly pairs: readonly SurfacePair[]; // the same contacts, for the crowns' surfaces
  readonly gaps: readonly RowGap[];
  readonly notMoved: readonly Tooth[]; // measured by an entered width alone: nobody knows where they stand
}

/** Room kept between neighbours that are no contact: the entered widths of the absent teeth, or as much as there is. */
function keptRooms(
  { contacts, gaps, teeth }: ArchMeasures,
  row: readonly Tooth[],
  standsApartMm: (teeth: Contact) => number,
): readonly RowGap[] {
  const isPair = (pair: Contact) => (other: { readonly teeth: Contact }) =>
    other.teeth[0] === pair[0] && other.teeth[1] === pair[1];
  return row.slice(1).flatMap((tooth, i): RowGap[] => {
    const pair: Contact = [row[i], tooth];
    if (contacts.some(isPair(pair))) return [];
    const widths = (gaps.find(isPair(pair))?.missing ?? []).map(
      (absent) => teeth.find((t) => t.tooth === absent)?.widthMm ?? null,
    );
    const known = widths.filter((width) => width !== null);
    const entered = known.length > 0 && known.length === widths.length;
    return [
      {
        teeth: pair,
        roomMm: Math.max(0, entered ? known.reduce((a, b) => a + b, 0) : standsApartMm(pair)),
      },
    ];
  });
}

/**
 * The course of an arch from its measures and plan. Null without an arch line, or where no crown has both contact
 * points.
 *
 * Units:    mm, radians.
 * Accuracy: as toothCourse and contactCourses.
 */
export function plannedCourse({ measures, marks, plan, settings }: CourseInput): PlannedCourse | null {
  const standing = standingTeeth(measures, marks, plan);
  if (!measures.line || standing.length < 2) return null;
  const track = archTrack(measures.line.pointsInOcclusalPlane);
  const place = (tooth: Tooth, side: 1 | -1): number => {
    const { pose, widthMm } = standing.find((t) => t.tooth === tooth)!;
    const half = (side * widthMm) / 2;
    const [x, y] = pose.centreMm;
    return track.place([x + half * Math.cos(pose.directionRad), y + half * Math.sin(pose.directionRad)])
      .alongMm;
  };
  const row = standing.map(({ tooth }) => tooth);
  const gaps = keptRooms(measures, row, ([a, b]) => place(b, -1) - place(a, 1));
  const course = toothCourse(track, standing, gaps, settings);
  return {
    track,
    course,
    contacts: contactCourses(track, course, gaps),
    pairs: facingPairs(course, gaps).map(([a, b]) => ({
      teeth: [a.standing, b.standing],
      poses: [a.poses, b.poses],
    })),
    gaps,
    notMoved: measures.teeth.flatMap(({ tooth }) => (row.includes(tooth) ? [] : [tooth])),
  };
}
