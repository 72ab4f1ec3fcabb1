import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { PLATE_ALPHA } from '../../../src/app/scene/drawOverlay.ts';
import { SCAN_INKS } from '../../../src/app/scene/scenePalette.ts';

// Contrast by WCAG 2.2, 1.4.3 (text 4.5 : 1) and 1.4.11 (edges and marks 3 : 1), computed from the tokens themselves.

type Rgb = readonly [number, number, number];
type Tokens = Readonly<Record<string, string>>;

const source = (path: string): string =>
  readFileSync(new URL(`../../../src/app/${path}`, import.meta.url), 'utf8');
const css = source('design/tokens.css');

const tokensOf = (selector: string): Tokens => {
  const from = css.indexOf(selector);
  expect(from).toBeGreaterThan(-1);
  return Object.fromEntries(
    [...css.slice(from, css.indexOf('\n}', from)).matchAll(/--([\w-]+): (#[0-9a-f]{6});/g)].map((found) => [
      found[1],
      found[2],
    ]),
  );
};
const light = tokensOf(':root {');
const THEMES: Readonly<Record<string, Tokens>> = {
  light,
  dark: { ...light, ...tokensOf(':root[data-theme="dark"] {') },
};

const rgb = (hex: string): Rgb => [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16)) as never;
const linear = (value: number): number => {
  const share = value / 255;
  return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
};
const luminance = ([r, g, b]: Rgb): number => 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
const contrast = (a: Rgb, b: Rgb): number => {
  const [dark, bright] = [luminance(a), luminance(b)].sort((x, y) => x - y);
  return (bright + 0.05) / (dark + 0.05);
};
const over = (top: Rgb, alpha: number, below: Rgb): Rgb =>
  top.map((value, i) => value * alpha + below[i] * (1 - alpha)) as never;

describe.each(Object.keys(THEMES))('%s theme', (theme) => {
  const color = (name: string): Rgb => rgb(THEMES[theme][name]);

  it.each([
    ['ink', ['desk', 'paper', 'sheet', 'sheet-sunk', 'scene-ground', 'select-wash', 'accent-wash', 'enamel']],
    ['ink-soft', ['desk', 'paper', 'sheet', 'sheet-sunk', 'scene-ground', 'select-wash', 'accent-wash']],
    ['ink-faint', ['desk', 'paper', 'sheet', 'sheet-sunk', 'scene-ground', 'select-wash', 'enamel']],
    ['accent', ['desk', 'paper', 'sheet', 'sheet-sunk', 'accent-wash']],
    ['accent-ink', ['accent']],
    ['sheet', ['ink']],
  ])('%s is legible on %s', (ink, grounds) => {
    for (const ground of grounds)
      expect(contrast(color(ink), color(ground)), ground).toBeGreaterThanOrEqual(4.5);
  });

  it.each([
    ['focus', ['desk', 'paper', 'sheet', 'sheet-sunk', 'scene-ground']],
    ['rule-strong', ['paper', 'sheet', 'sheet-sunk']],
    ['enamel-edge', ['enamel', 'sheet', 'sheet-sunk']],
    ['proposed', ['enamel', 'sheet', 'sheet-sunk']],
    ['accent', ['sheet', 'sheet-sunk', 'enamel']],
  ])('%s is seen on %s', (edge, grounds) => {
    for (const ground of grounds)
      expect(contrast(color(edge), color(ground)), ground).toBeGreaterThanOrEqual(3);
  });

  it('labels over the arch are legible on a scan of any brightness', () => {
    for (const value of [0, 64, 128, 192, 255]) {
      const below: Rgb = [value, value, value];
      const seen = over(color('sheet'), PLATE_ALPHA.seen, below);
      const away = over(color('sheet'), PLATE_ALPHA.turnedAway, below);
      expect(contrast(color('ink'), seen), `seen, over ${value}`).toBeGreaterThanOrEqual(4.5);
      expect(contrast(color('ink-soft'), away), `turned away, over ${value}`).toBeGreaterThanOrEqual(4.5);
    }
  });
});

describe('marks on the scan', () => {
  const scan = /surfaceColor: \{ value: new Color\('(#[0-9a-f]{6})'\)/.exec(
    source('scene/scanMaterial.ts'),
  )![1];
  const { halo, ...inks } = SCAN_INKS;

  it.each(Object.entries(inks))('%s stands out from its halo and from the scan', (_, ink) => {
    expect(contrast(rgb(ink), rgb(halo))).toBeGreaterThanOrEqual(4.5);
    expect(contrast(rgb(ink), rgb(scan))).toBeGreaterThanOrEqual(3);
  });
});
