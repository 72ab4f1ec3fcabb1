import { Refusal } from '../../base/refusal.ts';
import type { GrowableFloats } from './Growable.ts';
import type { TextCursor } from './TextCursor.ts';

/** Reads the three coordinates of a vertex from a line of text. Refuses: 'number-invalid', 'file-truncated'. */
export function readVertex(cursor: TextCursor, floats: GrowableFloats): void {
  const byte = cursor.offset;
  const x = Math.fround(cursor.number('x of a vertex'));
  const y = Math.fround(cursor.number('y of a vertex'));
  const z = Math.fround(cursor.number('z of a vertex'));
  if (Number.isFinite(x + y + z)) {
    floats.push3(x, y, z);
    return;
  }
  const line = cursor.lineAt(byte);
  throw new Refusal(
    'number-invalid',
    `${cursor.caller}: a coordinate in line ${line} is too large; got ${cursor.textOf(byte, cursor.offset).trim()}, need numbers below 3.4e38. Export the scan again.`,
    { line, byte },
  );
}
