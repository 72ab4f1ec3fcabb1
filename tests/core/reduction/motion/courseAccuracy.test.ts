import { describe, expect, test } from 'vitest';
import {
  type CourseContact,
  courseExperiment,
  courseRecipes,
  spread,
} from '../../../support/courseExperiment.ts';

/** Errors of one gap of every contact against the exact crowns'. */
const errors = (contacts: readonly CourseContact[], of: (contact: CourseContact) => number) =>
  spread(contacts.map(of));

describe('collisions in generated arches, against their exact crowns carried the same way', () => {
  const arches = courseRecipes(4).map((recipe) => courseExperiment(recipe, 'found'));
  const contacts = arches.flatMap((arch) => arch.contacts);

  test('the exact crowns touch and share nothing before they move', () => {
    expect(errors(contacts, (c) => c.startExactMm).worst).toBeLessThan(0.05);
    expect(contacts.length).toBe(4 * 11);
  });

  test('between surfaces: found to about 0.1 mm, crowns told apart by the program itself', () => {
    const start = errors(contacts, (c) => c.start.surfacesMm - c.startExactMm);
    const end = errors(contacts, (c) => c.end.surfacesMm - c.endExactMm);
    expect(start.rms).toBeLessThan(0.1);
    expect(start.worst).toBeLessThan(0.3);
    expect(end.rms).toBeLessThan(0.15);
    expect(end.worst).toBeLessThan(0.5);
  });

  test('by widths: the end to a tenth, crowded starts only to a millimetre', () => {
    const start = errors(contacts, (c) => c.start.widthsMm - c.startExactMm);
    const end = errors(contacts, (c) => c.end.widthsMm - c.endExactMm);
    expect(start.worst).toBeLessThan(1.6);
    expect(end.rms).toBeLessThan(0.1);
    expect(end.worst).toBeLessThan(0.25);
  });

  test('with the planned enamel off the crowns end near contact', () => {
    expect(errors(contacts, (c) => c.endReduced.widthsMm).worst).toBeLessThan(0.25);
    expect(errors(contacts, (c) => c.endReduced.surfacesMm).rms).toBeLessThan(0.15);
    expect(errors(contacts, (c) => c.endReduced.surfacesMm).worst).toBeLessThan(0.5);
    // Without it they would share what was planned; between surfaces a single contact is good to about 0.2 mm.
    const much = contacts.filter((c) => c.plannedMm >= 0.3);
    for (const c of much) expect(c.end.surfacesMm).toBeLessThan(0);
    const shared = (of: (c: CourseContact) => number) =>
      much.reduce((sum, c) => sum + of(c), 0) / much.length;
    expect(shared((c) => c.end.surfacesMm + c.plannedMm)).toBeLessThan(0.1);
    expect(shared((c) => c.end.surfacesMm + c.plannedMm)).toBeGreaterThan(-0.15);
  });
});
