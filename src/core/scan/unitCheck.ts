import { Refusal } from '../base/refusal.ts';
import type { LengthUnit } from './ScanMesh.ts';

/** Millimetres in one unit. */
export const MM_PER_UNIT: Readonly<Record<LengthUnit, number>> = {
  mm: 1,
  cm: 10,
  m: 1000,
  in: 25.4,
  um: 0.001,
};

/** Names for messages. */
export const UNIT_NAMES: Readonly<Record<LengthUnit, string>> = {
  mm: 'millimetres',
  cm: 'centimetres',
  m: 'metres',
  in: 'inches',
  um: 'microns',
};

/**
 * Greatest span of a scan that can be an arch, mm. A whole arch is about 45–90 mm across and spans 60–110 mm
 * corner to corner; a quadrant or a front segment spans 30 mm or more; with a plaster base 140 mm are reached.
 * Standing: common practice, no source; the real arches the project is tested on span 77–92 mm.
 */
const ARCH_SPAN_MM = { min: 30, max: 160 } as const;

/** Span of a whole arch, mm: what a wrong unit has to make of the numbers to be named as the likely one. */
const WHOLE_ARCH_SPAN_MM = { min: 42, max: 130 } as const;

/** Smallest span of one crown, mm. */
const TOOTH_SPAN_MIN_MM = 5;

/**
 * Above this, a scan is a lump like a tooth and not a horseshoe: 27 · det ÷ trace³ of the covariance of its
 * points, 1 for a ball, 0 for anything flat. The real arches have 0.05–0.2, single crowns 0.5–1.
 */
const LUMP_RATIO = 0.35;

const SAMPLE_POINTS = 20_000;

export type LikelyUnit = LengthUnit | 'one-tooth' | 'unknown';

/**
 * Refuses a mesh that cannot be a dental arch in millimetres, naming the unit it is more likely in.
 *
 * Shape:    positions — 3 per vertex, all used by faces, already converted to mm with `unit`.
 * Refuses:  'unit-implausible' with `detail.likelyUnit` (a unit, one tooth, or unknown), span and box.
 */
export function unitCheck(positions: Float32Array, unit: LengthUnit): void {
  const { spanMm, lumpRatio, boxMm } = spread(positions);
  if (spanMm >= ARCH_SPAN_MM.min && spanMm <= ARCH_SPAN_MM.max) return;
  const likelyUnit = likely(spanMm / MM_PER_UNIT[unit], spanMm, lumpRatio);
  const box = boxMm.map(readable).join(' × ');
  const [guess, advice] = adviceFor(likelyUnit);
  throw new Refusal(
    'unit-implausible',
    `unitCheck: the scan cannot be a dental arch in ${UNIT_NAMES[unit]}${guess}; got a box of ${box} mm, need a greatest span of ${ARCH_SPAN_MM.min} to ${ARCH_SPAN_MM.max} mm. ${advice}`,
    { likelyUnit, unit, spanMm, boxMm },
  );
}

function likely(spanInFile: number, spanMm: number, lumpRatio: number): LikelyUnit {
  const isTooth = spanMm >= TOOTH_SPAN_MIN_MM && spanMm < ARCH_SPAN_MM.min && lumpRatio > LUMP_RATIO;
  if (isTooth) return 'one-tooth';
  const units = (Object.keys(MM_PER_UNIT) as LengthUnit[]).filter((unit) => {
    const span = spanInFile * MM_PER_UNIT[unit];
    return span >= WHOLE_ARCH_SPAN_MM.min && span <= WHOLE_ARCH_SPAN_MM.max;
  });
  if (units.length > 0) return units[0];
  return spanMm >= TOOTH_SPAN_MIN_MM && spanMm < ARCH_SPAN_MM.min ? 'one-tooth' : 'unknown';
}

function adviceFor(likelyUnit: LikelyUnit): readonly [string, string] {
  if (likelyUnit === 'one-tooth') {
    return ['; it looks like one tooth only', 'Open the scan of the whole arch, or name the unit it is in.'];
  }
  if (likelyUnit === 'unknown') return ['', 'Check that this is one dental arch, or name the unit it is in.'];
  const name = UNIT_NAMES[likelyUnit];
  return [`; it looks like ${name}`, `Open it again as ${name} if that is right.`];
}

const readable = (value: number): string => {
  const digits = value >= 100 ? value.toFixed(0) : value.toPrecision(3);
  return Number.isFinite(value) && value < 1e9 ? String(Number(digits)) : value.toExponential(1);
};

/** Thirteen directions: the axes, and the diagonals of the faces and of the body of a cube. */
const DIRECTIONS = [-1, 0, 1]
  .flatMap((x) => [-1, 0, 1].flatMap((y) => [-1, 0, 1].map((z) => [x, y, z] as const)))
  .filter(([x, y, z]) => x > 0 || (x === 0 && (y > 0 || (y === 0 && z > 0))))
  .map((d) => d.map((c) => c / Math.hypot(...d)));

/** Span (the greatest extent over thirteen directions), lump ratio and box of evenly picked points. */
function spread(positions: Float32Array): { spanMm: number; lumpRatio: number; boxMm: readonly number[] } {
  const count = positions.length / 3;
  const step = Math.max(1, Math.floor(count / SAMPLE_POINTS));
  const low = DIRECTIONS.map(() => Infinity);
  const high = DIRECTIONS.map(() => -Infinity);
  const sum = [0, 0, 0];
  const products = [0, 0, 0, 0, 0, 0]; // xx, yy, zz, xy, yz, zx about the first point
  let n = 0;
  for (let i = 0; i < count; i += step, n++) {
    const [px, py, pz] = positions.subarray(3 * i, 3 * i + 3);
    for (let d = 0; d < DIRECTIONS.length; d++) {
      const along = px * DIRECTIONS[d][0] + py * DIRECTIONS[d][1] + pz * DIRECTIONS[d][2];
      if (along < low[d]) low[d] = along;
      if (along > high[d]) high[d] = along;
    }
    const [x, y, z] = [px - positions[0], py - positions[1], pz - positions[2]];
    sum[0] += x;
    sum[1] += y;
    sum[2] += z;
    products[0] += x * x;
    products[1] += y * y;
    products[2] += z * z;
    products[3] += x * y;
    products[4] += y * z;
    products[5] += z * x;
  }
  const [mx, my, mz] = sum.map((s) => s / n);
  const [xx, yy, zz] = [products[0] / n - mx * mx, products[1] / n - my * my, products[2] / n - mz * mz];
  const [xy, yz, zx] = [products[3] / n - mx * my, products[4] / n - my * mz, products[5] / n - mz * mx];
  const determinant = xx * (yy * zz - yz * yz) - xy * (xy * zz - yz * zx) + zx * (xy * yz - yy * zx);
  const extents = DIRECTIONS.map((_, d) => high[d] - low[d]);
  const axis = (x: number, y: number, z: number): number =>
    extents[DIRECTIONS.findIndex((d) => d[0] === x && d[1] === y && d[2] === z)];
  return {
    spanMm: Math.max(...extents),
    lumpRatio: (27 * determinant) / (xx + yy + zz) ** 3,
    boxMm: [axis(1, 0, 0), axis(0, 1, 0), axis(0, 0, 1)],
  };
}
