import type { OverlayPalette } from './drawOverlay.ts';

/** Inks drawn on the scan itself, which is light in both themes; each line has a light halo. */
export const SCAN_INKS = {
  mesial: '#0b5f6b',
  distal: '#7a2f6b',
  tip: '#5c5210',
  halo: '#fffdf9',
  etch: '#1b2230',
  accent: '#b03e17',
  line: '#1d4f91',
  cut: '#b03e17',
} as const;

/** Colours for the drawing over the scan. */
export function scenePalette(
  element: HTMLElement,
  theme: 'light' | 'dark',
): { readonly palette: OverlayPalette; readonly ground: string } {
  const style = getComputedStyle(element);
  const token = (name: string, otherwise: string): string => style.getPropertyValue(name).trim() || otherwise;
  const palette: OverlayPalette = {
    ...SCAN_INKS,
    font: style.fontFamily,
    ink: token('--ink', theme === 'light' ? '#1b2230' : '#ece7db'),
    inkSoft: token('--ink-soft', theme === 'light' ? '#4d5462' : '#b7b4ab'),
    paper: token('--sheet', theme === 'light' ? '#fffdf9' : '#1a1f27'),
  };
  return { palette, ground: token('--scene-ground', theme === 'light' ? '#e9e4d8' : '#11151a') };
}
