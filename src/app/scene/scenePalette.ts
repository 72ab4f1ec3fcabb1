import type { OverlayPalette } from './drawOverlay.ts';

/** Colours for the drawing over the scan; the scan itself is light in both themes, so marks keep dark inks. */
export function scenePalette(
  element: HTMLElement,
  theme: 'light' | 'dark',
): { readonly palette: OverlayPalette; readonly ground: string } {
  const style = getComputedStyle(element);
  const token = (name: string, otherwise: string): string => style.getPropertyValue(name).trim() || otherwise;
  const palette: OverlayPalette = {
    mesial: '#0b5f6b',
    distal: '#7a2f6b',
    tip: '#5c5210',
    halo: '#fffdf9',
    etch: '#1b2230',
    accent: '#b03e17',
    line: '#1d4f91',
    cut: '#b03e17',
    font: style.fontFamily,
    ink: token('--ink', theme === 'light' ? '#1b2230' : '#ece7db'),
    paper: token('--sheet', theme === 'light' ? '#fffdf9' : '#1a1f27'),
  };
  return { palette, ground: token('--scene-ground', theme === 'light' ? '#e9e4d8' : '#11151a') };
}
