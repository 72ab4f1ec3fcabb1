import type { ArchFrame } from '../../src/core/arch/ArchFrame.ts';
import { findArchFrame } from '../../src/core/arch/findArchFrame.ts';
import { archOrder, isRight, type Jaw, type Tooth } from '../../src/core/base/tooth.ts';
import {
  add,
  cross,
  distance,
  dot,
  length,
  normalize,
  scale,
  subtract,
  type Vec3,
} from '../../src/core/base/Vec3.ts';
import { snapToAnatomy } from '../../src/core/marks/snapToAnatomy.ts';
import { snapTooth } from '../../src/core/marks/snapTooth.ts';
import { openScan } from '../../src/core/scan/openScan.ts';
import { type SurfaceIndex, surfaceIndex, unpackSurfaceIndex } from '../../src/core/scan/surfaceIndex.ts';
import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { makeArch } from '../../src/samples/makeArch.ts';
import { namedSamples } from '../../src/samples/namedSamples.ts';
import { makeMesh } from './meshes.ts';
import { makeRandom } from './random.ts';
import { type SharedScan, sharedFaceTeeth, sharedScan } from './sharedScans.ts';

/** One tooth whose two contact points were clicked up to 0.6 mm off and snapped. */
export interface SnapRow {
  readonly arch: string;
  readonly kind: 'shipped' | 'generated' | 'real';
  readonly tooth: Tooth;
  readonly truthMm: number; // true width; on real crowns the straight distance of the labelled outermost places
  readonly snappedMm: number; // straight distance of the snapped points
  readonly errorMm: number; // snapped − truth
  readonly clickedErrorMm: number; // the same from the raw clicks
  /** Real crowns only: snapped width less labelled extent, both along the arch. */
  readonly alongErrorMm: number | null;
}

export interface SnapArch {
  readonly name: string;
  readonly kind: 'shipped' | 'generated';
  readonly recipe: ArchRecipe;
}

const CLICK_OFF_MM = 0.6;

/** The shipped samples, and 24 arches that are not shipped: aligned, crowded to 6 mm, spaced, noisy, with and without webs. */
export function snapArches(): readonly SnapArch[] {
  const shipped = namedSamples.map(({ name, recipe }): SnapArch => ({ name, kind: 'shipped', recipe }));
  const shapes: Partial<ArchRecipe>[] = [
    {},
    { crowdingMm: 2 },
    { crowdingMm: 4 },
    { crowdingMm: 6 },
    { spacingMm: 3 },
    { crowdingMm: 3, bridgedContacts: false },
  ];
  const made: SnapArch[] = [];
  for (const jaw of ['lower', 'upper'] as const) {
    for (const shape of shapes) {
      for (const noiseMm of [0.01, 0.03]) {
        const seed = 501 + made.length;
        const triangles = made.length % 8 === 0 ? 120_000 : 60_000;
        made.push({
          name: `${jaw} ${Object.entries(shape).join(' ').replaceAll(',', ' ') || 'aligned'} noise ${noiseMm}`,
          kind: 'generated',
          recipe: { jaw, seed, pose: 'any', noiseMm, triangles, ...shape },
        });
      }
    }
  }
  return [...shipped, ...made];
}

/** A contact buried in a web cannot be clicked within 0.6 mm; then the click falls this much past the nearest surface. */
const BURIED_SLACK_MM = 0.3;

/** A click on the surface up to 0.6 mm off a point in any direction, on whichever tooth is there. */
function clickNear(index: SurfaceIndex, pointMm: Vec3, random: () => number): Vec3 {
  const limitMm = Math.max(CLICK_OFF_MM, index.closestPoint(pointMm)!.distanceMm + BURIED_SLACK_MM);
  for (;;) {
    const direction: Vec3 = [random() * 2 - 1, random() * 2 - 1, random() * 2 - 1];
    if (length(direction) > 1 || length(direction) < 0.1) continue;
    const off = scale(normalize(direction), CLICK_OFF_MM * Math.sqrt(random()));
    const click = index.closestPoint(add(pointMm, off))!.pointMm;
    if (distance(click, pointMm) <= limitMm) return click;
  }
}

/** Marks one tooth as the app does: first click alone, in either order; then both clicks together. */
export function clickTooth(
  index: SurfaceIndex,
  frame: ArchFrame,
  tooth: Tooth,
  mesialMm: Vec3,
  distalMm: Vec3,
  random: () => number,
): { mesial: Vec3; distal: Vec3; clickedMm: number } {
  const mesialClick = clickNear(index, mesialMm, random);
  const distalClick = clickNear(index, distalMm, random);
  const mesialFirst = random() < 0.5;
  const first = snapToAnatomy({
    index,
    frame,
    tooth,
    site: mesialFirst ? 'mesial' : 'distal',
    clickMm: mesialFirst ? mesialClick : distalClick,
    marks: [],
  }).pointMm;
  const both = snapTooth({
    index,
    frame,
    tooth,
    mesialMm: mesialFirst ? first : mesialClick,
    distalMm: mesialFirst ? distalClick : first,
  });
  return {
    mesial: both.mesial.pointMm,
    distal: both.distal.pointMm,
    clickedMm: distance(mesialClick, distalClick),
  };
}

/** Clicks and snaps every tooth of a generated arch, in the frame found from its surface. */
export function snapGenerated({ name, kind, recipe }: SnapArch, seed = 1): readonly SnapRow[] {
  const arch = makeArch(recipe);
  const mesh = makeMesh(arch.mesh.positions, arch.mesh.indices);
  const index = surfaceIndex(mesh);
  const { frame } = findArchFrame(mesh);
  const random = makeRandom(recipe.seed * 7919 + seed);
  return arch.truth.teeth.map((t): SnapRow => {
    const { mesial, distal, clickedMm } = clickTooth(index, frame, t.tooth, t.mesialMm, t.distalMm, random);
    const snappedMm = distance(mesial, distal);
    return {
      arch: name,
      kind,
      tooth: t.tooth,
      truthMm: t.widthMm,
      snappedMm,
      errorMm: snappedMm - t.widthMm,
      clickedErrorMm: clickedMm - t.widthMm,
      alongErrorMm: null,
    };
  });
}

interface LabelledCrown {
  readonly tooth: Tooth;
  readonly along: Vec3; // arch direction at the crown, right to left, occlusal plane
  readonly rightMm: Vec3; // middle of the outermost place toward the patient's right, at its outermost level
  readonly leftMm: Vec3;
  readonly extentMm: number;
}

const CROWN_MM = 5; // of each crown's height from its top; below it labels run out along the gum
const FACING = 0.2; // labelled faces of an end look toward that end: spurs of label on web, gum or neighbour do not
const PLACE_MM = 0.15;

/**
 * Mesiodistal extents of labelled crowns, by labels alone: along the chord between the neighbours' centroids
 * in the occlusal plane, from the outermost labelled face that faces one end to the one that faces the other.
 */
function labelledCrowns(
  index: SurfaceIndex,
  faceTooth: readonly number[],
  jaw: Jaw,
  up: Vec3,
): LabelledCrown[] {
  const { positions: p, indices } = index.mesh;
  const faces = new Map<Tooth, { centre: Vec3; normal: Vec3 }[]>();
  faceTooth.forEach((tooth, f) => {
    if (tooth === 0) return;
    const [a, b, c] = [0, 1, 2].map((k): Vec3 => {
      const o = indices[3 * f + k] * 3;
      return [p[o], p[o + 1], p[o + 2]];
    });
    const n = cross(subtract(b, a), subtract(c, a));
    const list = faces.get(tooth) ?? [];
    list.push({ centre: scale(add(add(a, b), c), 1 / 3), normal: scale(n, 1 / Math.max(length(n), 1e-12)) });
    faces.set(tooth, list);
  });
  const mean = (points: readonly Vec3[]): Vec3 =>
    scale(
      points.reduce((s, q) => add(s, q), [0, 0, 0] as Vec3),
      1 / points.length,
    );
  const teeth = archOrder(jaw).filter((t) => faces.has(t));
  const centroids = teeth.map((t) => mean(faces.get(t)!.map((f) => f.centre)));
  return teeth.map((tooth, i) => {
    const chord = subtract(centroids[Math.min(i + 1, teeth.length - 1)], centroids[Math.max(i - 1, 0)]);
    const along = normalize(subtract(chord, scale(up, dot(chord, up))));
    const all = faces.get(tooth)!;
    const top = all.reduce((m, f) => Math.max(m, dot(f.centre, up)), -Infinity);
    const crown = all.filter((f) => dot(f.centre, up) > top - CROWN_MM);
    const end = (out: Vec3): { levelMm: number; placeMm: Vec3 } => {
      const facing = crown.filter((f) => dot(f.normal, out) > FACING);
      const levelMm = facing.reduce((m, f) => Math.max(m, dot(f.centre, out)), -Infinity);
      const place = mean(facing.map((f) => f.centre).filter((q) => dot(q, out) > levelMm - PLACE_MM));
      return { levelMm, placeMm: add(place, scale(out, levelMm - dot(place, out))) };
    };
    const left = end(along);
    const right = end(scale(along, -1));
    return {
      tooth,
      along,
      leftMm: left.placeMm,
      rightMm: right.placeMm,
      extentMm: left.levelMm + right.levelMm,
    };
  });
}

/** Clicks and snaps every crown of a real scan `repeats` times round its labelled outermost places. */
export async function snapReal(name: SharedScan, repeats = 4): Promise<readonly SnapRow[]> {
  const opened = await openScan(sharedScan(name), `${name}.stl`);
  const faceTooth = sharedFaceTeeth(name);
  if (opened.mesh.indices.length / 3 !== faceTooth.length) throw new Error('labels no longer fit the faces');
  const index = unpackSurfaceIndex(opened.mesh, opened.index);
  const jaw: Jaw = name.endsWith('lower') ? 'lower' : 'upper';
  const { frame } = findArchFrame(opened.mesh);
  const random = makeRandom(17);
  return labelledCrowns(index, faceTooth, jaw, frame.occlusal).flatMap((crown) =>
    Array.from({ length: repeats }, (): SnapRow => {
      const { tooth, rightMm, leftMm } = crown;
      const [m, d] = isRight(tooth) ? [leftMm, rightMm] : [rightMm, leftMm];
      const { mesial, distal, clickedMm } = clickTooth(index, frame, tooth, m, d, random);
      const truthMm = distance(m, d);
      const snappedMm = distance(mesial, distal);
      return {
        arch: name,
        kind: 'real',
        tooth,
        truthMm,
        snappedMm,
        errorMm: snappedMm - truthMm,
        clickedErrorMm: clickedMm - truthMm,
        alongErrorMm: Math.abs(dot(subtract(mesial, distal), crown.along)) - crown.extentMm,
      };
    }),
  );
}

export const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((s, v) => s + v * v, 0) / values.length);

/** One line per arch: number of teeth, RMS, mean and worst error, and the RMS of the raw clicks; mm. */
export function snapTable(rows: readonly SnapRow[]): string {
  const arches = [...new Set(rows.map((r) => r.arch))];
  const line = (name: string, of: readonly SnapRow[]): string => {
    const errors = of.map((r) => r.errorMm);
    const worst = of.reduce((a, b) => (Math.abs(b.errorMm) > Math.abs(a.errorMm) ? b : a));
    const along = of.every((r) => r.alongErrorMm !== null)
      ? rms(of.map((r) => r.alongErrorMm!)).toFixed(3)
      : '';
    return [
      name.padEnd(44),
      String(of.length).padStart(5),
      rms(errors).toFixed(3).padStart(7),
      (errors.reduce((s, e) => s + e, 0) / errors.length).toFixed(3).padStart(7),
      `${worst.errorMm.toFixed(2)} (${worst.tooth})`.padStart(12),
      rms(of.map((r) => r.clickedErrorMm))
        .toFixed(2)
        .padStart(7),
      along.padStart(7),
    ].join(' ');
  };
  return [
    `${'arch'.padEnd(44)} teeth     rms    mean        worst  clicks   along`,
    ...arches.map((name) =>
      line(
        name,
        rows.filter((r) => r.arch === name),
      ),
    ),
    line('all', rows),
  ].join('\n');
}
