/** sRGB, 0–255. */
export type Rgb = readonly [number, number, number];

/** What the ends of the scale mean, mm: a whole arch shows movement, a tooth laid over itself what is gone. */
export const REACH_MM = { wholeArch: 1.5, eachTooth: 0.4 } as const;

/** Ends and middle in OKLab: lightness falls alike to either side, blue against yellow, which red-green blindness leaves. */
const MIDDLE = [0.955, 0.002, 0.012] as const;
const LOWER = [0.44, -0.015, -0.135] as const; // blue: the later surface lies inside
const UPPER = [0.44, 0.055, 0.088] as const; // brown: it lies outside

/**
 * Linear light, 0–1, of a place in OKLab.
 * Source: B. Ottosson, A perceptual color space for image processing, 2020; constants from memory, held by
 *         tests/app/followup/deviationScale.test.ts (white, and there and back).
 */
export function linearOfOklab(L: number, a: number, b: number): Rgb {
  const l = (L + 0.3963377774 * a + 0.2158037573 * b) ** 3;
  const m = (L - 0.1055613458 * a - 0.0638541728 * b) ** 3;
  const s = (L - 0.0894841775 * a - 1.291485548 * b) ** 3;
  return [
    4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s,
    -1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s,
    -0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s,
  ];
}

/** The scale's place in OKLab at −1 (inside) … 0 … 1 (outside): equal steps look equal. */
export function oklabAt(share: number): Rgb {
  const t = Math.max(-1, Math.min(1, share));
  const end = t < 0 ? LOWER : UPPER;
  const at = (k: number): number => MIDDLE[k] + Math.abs(t) * (end[k] - MIDDLE[k]);
  return [at(0), at(1), at(2)];
}

/** Linear light, 0–1, of the scale at −1 … 1. */
export function scaleLinear(share: number): Rgb {
  const [L, a, b] = oklabAt(share);
  const held = (x: number): number => Math.max(0, Math.min(1, x));
  const [r, g, bl] = linearOfOklab(L, a, b);
  return [held(r), held(g), held(bl)];
}

const encoded = (x: number): number =>
  Math.round(255 * (x <= 0.0031308 ? 12.92 * x : 1.055 * x ** (1 / 2.4) - 0.055));

/** The scale at −1 … 1 as a colour of CSS. */
export function scaleCss(share: number): string {
  const [r, g, b] = scaleLinear(share);
  return `rgb(${encoded(r)} ${encoded(g)} ${encoded(b)})`;
}

const STEPS = 17;

/** The whole scale as a gradient of CSS, left inside to right outside. */
export const scaleGradient = (): string =>
  `linear-gradient(to right, ${Array.from({ length: STEPS }, (_, i) => scaleCss((2 * i) / (STEPS - 1) - 1)).join(', ')})`;
