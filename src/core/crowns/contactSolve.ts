import { solveHeld } from './proximalFit.ts';

/** What is believed of one side before its wall is looked at, and the wall about the present place. */
export interface SideState {
  readonly c: readonly number[]; // wall expansion about the present place
  readonly aside: number; // present place, mm, own axes
  readonly up: number;
  readonly priorAside: number; // where the click was, own axes
  readonly priorUp: number;
  readonly placeSdMm: number;
  readonly shownRatio: number; // 0–1: how much of the wall about the place is seen, not carried on under a web
}

/** Standard deviations of the beliefs that are weighed against each other. */
export interface ContactBeliefs {
  readonly turnRad: number; // crown's mesiodistal direction against the axes, in the occlusal plane, toward the first side's aside
  readonly turnSdRad: number;
  readonly tiltSdRad: number; // and against that plane
  readonly slopeSd: number; // how level the wall is at the contact point across the row, radians
  readonly seenRiseSd: number; // and in height, a wall seen whole
  readonly hiddenRiseSd: number; // one carried on under a web
  readonly facingSd: number; // how squarely the two contact points face each other, radians
}

export interface ContactSolution {
  readonly turnRad: number;
  readonly tiltRad: number;
  readonly places: readonly { readonly aside: number; readonly up: number }[];
}

/** Where the second side stands in the first side's axes. */
export interface Opposite {
  readonly spanMm: number; // distance between the two origins along the direction, plus both walls' out
  readonly asideShiftMm: number; // second origin minus first, along the first side's aside
  readonly upShiftMm: number;
}

const STEP_MM = 0.6;

/**
 * The places where the walls stand out most along one common mesiodistal direction, which is itself unknown
 * within its beliefs: linear least squares over turn, tilt and the place on each side.
 * Both sides' `aside` is up × out of that side, so that the second side's runs against the first's.
 */
export function solveContacts(
  sides: readonly SideState[],
  beliefs: ContactBeliefs,
  opposite: Opposite | null,
): ContactSolution {
  const n = 2 + 2 * sides.length;
  const ata = new Float64Array(n * n);
  const atb = new Float64Array(n);
  const equation = (entries: readonly (readonly [number, number])[], value: number, sd: number): void => {
    const w = 1 / (sd * sd);
    for (const [i, a] of entries) {
      atb[i] += w * a * value;
      for (const [j, b] of entries) ata[i * n + j] += w * a * b;
    }
  };
  equation([[0, 1]], beliefs.turnRad, beliefs.turnSdRad);
  equation([[1, 1]], 0, beliefs.tiltSdRad);
  sides.forEach(({ c, aside, up, priorAside, priorUp, placeSdMm, shownRatio }, k) => {
    const y = 2 + 2 * k;
    const h = y + 1;
    const tiltSign = k === 0 ? 1 : -1;
    const { seenRiseSd, hiddenRiseSd } = beliefs;
    const riseSd = seenRiseSd + (hiddenRiseSd - seenRiseSd) * (1 - shownRatio);
    // slope at the new place, wall expansion about the present one
    const slopeY = c[1] - 2 * c[3] * aside - c[4] * up;
    const slopeH = c[2] - c[4] * aside - 2 * c[5] * up;
    equation(
      [
        [0, 1],
        [y, 2 * c[3]],
        [h, c[4]],
      ],
      -slopeY,
      beliefs.slopeSd,
    );
    equation(
      [
        [1, tiltSign],
        [y, c[4]],
        [h, 2 * c[5]],
      ],
      -slopeH,
      riseSd,
    );
    equation([[y, 1]], priorAside, placeSdMm);
    equation([[h, 1]], priorUp, placeSdMm);
  });
  if (opposite && sides.length === 2) {
    const { spanMm, asideShiftMm, upShiftMm } = opposite;
    // first minus second, as parts of the span: aside y₀ + y₁ − shift, up h₀ − h₁ − shift
    equation(
      [
        [2, 1 / spanMm],
        [4, 1 / spanMm],
        [0, -1],
      ],
      asideShiftMm / spanMm,
      beliefs.facingSd,
    );
    equation(
      [
        [3, 1 / spanMm],
        [5, -1 / spanMm],
        [1, -1],
      ],
      upShiftMm / spanMm,
      beliefs.facingSd,
    );
  }
  for (let i = 0; i < n; i++) for (let j = 0; j < i; j++) ata[i * n + j] = ata[j * n + i];
  const x = solveHeld(ata, atb, n);
  const bounded = (value: number, from: number): number =>
    Math.max(from - STEP_MM, Math.min(from + STEP_MM, value));
  return {
    turnRad: x[0],
    tiltRad: x[1],
    places: sides.map((side, k) => ({
      aside: bounded(x[2 + 2 * k], side.aside),
      up: bounded(x[3 + 2 * k], side.up),
    })),
  };
}
