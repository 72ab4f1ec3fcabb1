import { isTooth, type Tooth } from '../../core/base/tooth.ts';
import type { CaliperWidth } from '../../core/casefile/CaseDocument.ts';

const WIDEST_MM = 30; // as a case may hold

/** A number typed with point or comma; null where nothing or nonsense stands. */
export function typedNumber(text: string): number | null {
  const clean = text.trim().replace(',', '.');
  const value = Number(clean);
  return /^\d{1,2}(\.\d*)?$/.test(clean) && value > 0 && value <= WIDEST_MM ? value : null;
}

/** The widths with one set, or taken out (`null`). */
export const withCaliperWidth = (
  widths: readonly CaliperWidth[],
  tooth: Tooth,
  widthMm: number | null,
): readonly CaliperWidth[] => [
  ...widths.filter((entry) => entry.tooth !== tooth),
  ...(widthMm === null ? [] : [{ tooth, widthMm }]),
];

export type Pasted = { readonly widths: readonly CaliperWidth[] } | { readonly fault: string };

const NOTHING_TAKEN = 'Nothing was taken.';
const said = (line: string): string => `“${line.trim().slice(0, 40)}”`;

/**
 * What was pasted from a spreadsheet: lines of tooth and width, or widths alone for the teeth of `order`, from the
 * first on. A first line without figures is its heading. One wrong line takes none and says which.
 */
export function readPasted(text: string, order: readonly Tooth[]): Pasted {
  const lines = text
    .split(/\r\n?|\n/)
    .map((line, i) => ({ line, number: i + 1 }))
    .filter(({ line }) => line.trim() !== '');
  if (lines.length > 1 && !/\d/.test(lines[0].line)) lines.shift();
  if (lines.length > 0 && lines.every(({ line }) => cellsOf(line).length === 1)) return inOrder(lines, order);
  const widths = new Map<Tooth, number>();
  for (const { line, number } of lines) {
    const cells = cellsOf(line);
    const [tooth, width] = [Number(cells[0]), typedNumber(cells[1] ?? '')];
    if (cells.length !== 2 || !/^\d\d$/.test(cells[0]) || !isTooth(tooth) || width === null)
      return { fault: `Line ${number} is no tooth and width in mm: ${said(line)}. ${NOTHING_TAKEN}` };
    if (widths.has(tooth)) return { fault: `Line ${number} names tooth ${tooth} again. ${NOTHING_TAKEN}` };
    widths.set(tooth, width);
  }
  return { widths: [...widths].map(([tooth, widthMm]) => ({ tooth, widthMm })) };
}

/** The cells of a line, parted by tab, semicolon, colon or space; a unit is no cell. */
const cellsOf = (line: string): readonly string[] =>
  line
    .replace(/\s*mm\s*$/i, '')
    .trim()
    .split(/\s*[\t;:]\s*|\s+|,\s+/)
    .filter(Boolean);

function inOrder(
  lines: readonly { readonly line: string; readonly number: number }[],
  order: readonly Tooth[],
): Pasted {
  if (lines.length > order.length)
    return {
      fault: `${lines.length} widths for ${order.length} teeth. Paste the tooth beside each width. ${NOTHING_TAKEN}`,
    };
  const widths: CaliperWidth[] = [];
  for (const [i, { line, number }] of lines.entries()) {
    const widthMm = typedNumber(cellsOf(line)[0]);
    if (widthMm === null)
      return { fault: `Line ${number} is no width in mm: ${said(line)}. ${NOTHING_TAKEN}` };
    widths.push({ tooth: order[i], widthMm });
  }
  return { widths };
}
