import { archPlace, type Contact, isRight, positionOf, siteFacing, type Tooth } from '../base/tooth.ts';
import { distance, type Vec2, type Vec3 } from '../base/Vec3.ts';
import type { SurfaceSeparation } from '../marks/surfaceSeparations.ts';
import type { ArchGap, ContactMeasure, Estimate, MeasureInput, MeasureWarning } from './ArchMeasures.ts';
import type { FittedLine } from './archLine.ts';
import type { ArchMark, ArchMarks } from './archMarks.ts';
import { propagate } from './propagate.ts';

/**
 * Neighbours across missing teeth count as touching when the room between them is less than this share of
 * their mean width: the place was closed. Our choice.
 */
const CLOSED_SHARE = 0.25;

/** Teeth of the row that should stand between two of them, by position; primary and permanent share a place. */
function placesBetween(a: Tooth, b: Tooth): readonly number[] {
  const places: number[] = [];
  for (let place = archPlace(a) + 1; place < archPlace(b); place++) if (place !== 0) places.push(place);
  return places;
}

/**
 * Free distance from `a` to `b` along the line (their nearest points on it), or, with no line, along the
 * direction from a's far contact point to b's; negative where the crowns overlap.
 */
function freeAlong(
  line: FittedLine | null,
  a: ArchMark,
  b: ArchMark,
  far: readonly [Vec2, Vec2] | null,
): number | null {
  if (line) return line.place(b).alongMm - line.place(a).alongMm;
  if (!far) return null;
  const [dx, dy] = [far[1][0] - far[0][0], far[1][1] - far[0][1]];
  const span = Math.hypot(dx, dy);
  return ((b.inPlane[0] - a.inPlane[0]) * dx + (b.inPlane[1] - a.inPlane[1]) * dy) / span;
}

/** Separation error: both marks along the arch; the line's own error moves both feet alike and drops out. */
const separationSd = (a: ArchMark, b: ArchMark): number => Math.hypot(a.sdAlongMm, b.sdAlongMm);

const planeGap = ([a, b]: readonly Vec3[]): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

/** Displacement with its SD; at (nearly) no displacement every direction of error counts alike. */
function displacementOf(a: ArchMark, b: ArchMark): Estimate {
  const valueMm = planeGap([a.inArch, b.inArch]);
  if (valueMm < 1e-3) return { valueMm, sdMm: Math.hypot(a.sdAcrossMm, b.sdAcrossMm) };
  const { sdMm } = propagate([a, b], planeGap);
  return { valueMm, sdMm };
}

/**
 * Separation (least distance between the crowns where it was measured on their surfaces; else, and beside it, the
 * distance along the arch between the facing contact points, negative: overlap) and displacement (distance of the two contact points in the
 * occlusal plane) of every contact. A place whose tooth is missing makes a gap, not a contact, unless it has
 * closed; a tooth merely not marked leaves its neighbours without a contact.
 *
 * Units:    mm.
 * Accuracy: exact for exact marks on a known line within 0.02 mm — tests/core/measure/contactMeasures.test.ts.
 * Source:   displacement: Little RM, Am J Orthod 1975;68:554–563, seen in a secondary source; separation: our definition.
 */
export function contactMeasures(
  input: MeasureInput,
  marks: ArchMarks,
  line: FittedLine | null,
): {
  readonly contacts: readonly ContactMeasure[];
  readonly gaps: readonly ArchGap[];
  readonly warnings: readonly MeasureWarning[];
} {
  const contacts: ContactMeasure[] = [];
  const gaps: ArchGap[] = [];
  const warnings: MeasureWarning[] = [];
  const absent = new Set(input.missing.map(archPlace));
  const row = marks.teeth.filter((tooth, i, all) => i === 0 || archPlace(all[i - 1]) !== archPlace(tooth));
  for (let i = 0; i + 1 < row.length; i++) {
    const teeth: Contact = [row[i], row[i + 1]];
    const between = placesBetween(...teeth);
    if (!between.every((place) => absent.has(place))) continue;
    const a = marks.find(teeth[0], siteFacing(teeth[0], teeth[1]));
    const b = marks.find(teeth[1], siteFacing(teeth[1], teeth[0]));
    if (!a || !b) {
      if (between.length === 0)
        warnings.push({
          code: 'contact-missing',
          message: `Contact ${teeth.join('–')} needs the facing contact points of both teeth.`,
          teeth,
        });
      const none = { separation: null, alongArch: null, displacement: null, pointsMm: null };
      contacts.push({ teeth, separationFrom: 'marks', ...none });
      continue;
    }
    const farA = marks.find(teeth[0], a.site === 'mesial' ? 'distal' : 'mesial');
    const farB = marks.find(teeth[1], b.site === 'mesial' ? 'distal' : 'mesial');
    const far = farA && farB ? ([farA.inPlane, farB.inPlane] as const) : null;
    const free = freeAlong(line, a, b, far);
    const pointsMm = [a.mark.pointMm, b.mark.pointMm] as const;
    const sdMm = separationSd(a, b);
    if (between.length > 0) {
      if (free === null) continue; // nothing tells whether the place has closed
      const widths = [farA && distance(farA.inArch, a.inArch), farB && distance(farB.inArch, b.inArch)];
      const known = widths.filter((w): w is number => w !== null);
      const mean = known.reduce((s, w) => s + w, 0) / known.length;
      if (!(known.length > 0 && free < CLOSED_SHARE * mean)) {
        const missing = input.missing.filter((t) => between.includes(archPlace(t)));
        gaps.push({ teeth, missing, room: { valueMm: free, sdMm }, pointsMm });
        continue;
      }
    }
    const alongArch: Estimate | null = free === null ? null : { valueMm: free, sdMm };
    const displacement = displacementOf(a, b);
    contacts.push({
      teeth,
      separation: alongArch,
      separationFrom: 'marks',
      alongArch,
      displacement,
      pointsMm,
    });
  }
  return { contacts: withSurfaceSeparations(contacts, input.surfaceSeparations ?? []), gaps, warnings };
}

/** The contacts with what was measured between the crown surfaces; it goes before the marks. */
export const withSurfaceSeparations = (
  contacts: readonly ContactMeasure[],
  found: readonly SurfaceSeparation[],
): readonly ContactMeasure[] =>
  contacts.map((contact): ContactMeasure => {
    const own = found.find(({ teeth }) => contact.teeth.every((tooth) => teeth.includes(tooth)));
    if (!own || !contact.pointsMm) return contact;
    const separation = { valueMm: own.separationMm, sdMm: own.sdMm };
    return { ...contact, separation, separationFrom: 'surface' };
  });

/** Mesial and distal exchanged: along the arch the mesial point lies further from the midline than the distal. */
export function exchangedSites(marks: ArchMarks, line: FittedLine): readonly MeasureWarning[] {
  return marks.teeth.flatMap((tooth) => {
    const mesial = marks.find(tooth, 'mesial');
    const distal = marks.find(tooth, 'distal');
    if (!mesial || !distal || positionOf(tooth) > 7) return [];
    const step = line.place(mesial).alongMm - line.place(distal).alongMm;
    if ((isRight(tooth) ? step : -step) >= 0) return [];
    return [
      {
        code: 'sites-exchanged',
        message: `Mesial and distal of tooth ${tooth} seem exchanged, or its number is on the wrong side. Check its marks.`,
        teeth: [tooth],
      },
    ];
  });
}
