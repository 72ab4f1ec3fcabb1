import { type CourseContact, courseExperiment, courseRecipes } from '../../support/courseExperiment.ts';
import { type AccuracyGroup, errorRow } from '../AccuracyRow.ts';

const COUNT = 24;
const TEST = 'tests/core/reduction/motion/courseAccuracy.test.ts';

/** Gaps between moved crowns against the exact crowns carried the same way. */
export const course: AccuracyGroup = {
  name: 'course',
  rows: async (progress) => {
    const contacts = courseRecipes(COUNT).flatMap((recipe): readonly CourseContact[] => {
      progress(`seed ${recipe.seed}`);
      return courseExperiment(recipe, 'found').contacts;
    });
    const on = `contacts of ${COUNT} generated arches crowded by 0 to 5 mm, crowns as found`;
    const row = (
      what: string,
      error: (contact: CourseContact) => number,
      rmsBound?: number,
      worstBound?: number,
    ) =>
      errorRow({
        what,
        surface: 'synthetic',
        on,
        errors: contacts.map(error),
        rmsBound,
        worstBound,
        test: TEST,
      });
    return [
      row(
        'Gap between crown surfaces before they move',
        (c) => c.start.surfacesMm - c.startExactMm,
        0.1,
        0.3,
      ),
      row(
        'Overlap of crown surfaces in the planned arch, nothing taken',
        (c) => c.end.surfacesMm - c.endExactMm,
        0.15,
        0.5,
      ),
      row('The same by widths alone', (c) => c.end.widthsMm - c.endExactMm, 0.1, 0.25),
      row('Gap by widths alone before they move', (c) => c.start.widthsMm - c.startExactMm, undefined, 1.6),
      row(
        'Crown surfaces with the planned enamel off, from contact',
        (c) => c.endReduced.surfacesMm,
        0.15,
        0.5,
      ),
    ];
  },
};
