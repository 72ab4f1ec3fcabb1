/** Where a text stops being JSON we accept; `index` counts UTF-16 units from 0, `line` and `column` from 1. */
export interface JsonFault {
  readonly kind: 'syntax' | 'forbidden-key' | 'too-large';
  readonly what: string;
  readonly index: number;
  readonly line: number;
  readonly column: number;
}

/** Bounds on what is read; the largest honest file (hundreds of readings) stays far below each of them. */
const JSON_MAX_CHARACTERS = 16_000_000;
export const JSON_MAX_VALUES = 400_000;
export const JSON_MAX_DEPTH = 32;

const FORBIDDEN_KEYS = new Set(['__proto__', 'constructor', 'prototype']);

type Expecting = 'value' | 'value-or-close' | 'key' | 'key-or-close' | 'colon' | 'comma-or-close' | 'end';

/**
 * The first fault of a JSON text, or null when `JSON.parse` will read it: syntax by RFC 8259, and besides
 * that a repeated key, a key that could reach a prototype, and sizes beyond the bounds above. One pass, no
 * recursion, so depth cannot exhaust the stack. `JSON.parse` alone gives no position for half of its errors.
 * Accuracy: agrees with `JSON.parse` on 2,000 mutated texts — tests/core/casefile/jsonFault.test.ts.
 */
export function jsonFault(text: string): JsonFault | null {
  if (text.length > JSON_MAX_CHARACTERS)
    return fault(text, 0, 'too-large', `${text.length} characters, at most ${JSON_MAX_CHARACTERS} are read`);
  const open: (Set<string> | null)[] = []; // keys seen in each open object; null for an array
  let expecting: Expecting = 'value';
  let valueCount = 0;
  let i = 0;
  for (;;) {
    while (isSpace(text.charCodeAt(i))) i++;
    if (i >= text.length) return expecting === 'end' ? null : fault(text, i, 'syntax', 'the text ends early');
    const c = text[i];
    if (expecting === 'end') return fault(text, i, 'syntax', `unexpected ${shown(c)} after the end`);
    if (expecting === 'colon') {
      if (c !== ':') return fault(text, i, 'syntax', `expected ':' but found ${shown(c)}`);
      expecting = 'value';
      i++;
      continue;
    }
    if (expecting === 'comma-or-close') {
      const keys = open[open.length - 1];
      if (c === ',') {
        expecting = keys ? 'key' : 'value';
      } else if (c === (keys ? '}' : ']')) {
        open.pop();
        expecting = open.length === 0 ? 'end' : 'comma-or-close';
      } else {
        return fault(text, i, 'syntax', `expected ',' or '${keys ? '}' : ']'}' but found ${shown(c)}`);
      }
      i++;
      continue;
    }
    if ((expecting === 'key-or-close' && c === '}') || (expecting === 'value-or-close' && c === ']')) {
      open.pop();
      expecting = open.length === 0 ? 'end' : 'comma-or-close';
      i++;
      continue;
    }
    if (expecting === 'key' || expecting === 'key-or-close') {
      if (c !== '"') return fault(text, i, 'syntax', `expected a quoted name but found ${shown(c)}`);
      const end = stringEnd(text, i);
      if (end < 0) return fault(text, -end - 1, 'syntax', 'the quoted name is broken');
      const key = JSON.parse(text.slice(i, end)) as string;
      if (FORBIDDEN_KEYS.has(key)) return fault(text, i, 'forbidden-key', `the name "${key}" is not allowed`);
      const keys = open[open.length - 1] as Set<string>;
      if (keys.has(key))
        return fault(text, i, 'forbidden-key', `the name "${key.slice(0, 40)}" occurs twice`);
      keys.add(key);
      expecting = 'colon';
      i = end;
      continue;
    }
    valueCount++;
    if (valueCount > JSON_MAX_VALUES)
      return fault(text, i, 'too-large', `more than ${JSON_MAX_VALUES} values, at most that many are read`);
    if (c === '{' || c === '[') {
      if (open.length === JSON_MAX_DEPTH)
        return fault(text, i, 'too-large', `nested deeper than ${JSON_MAX_DEPTH} levels`);
      open.push(c === '{' ? new Set() : null);
      expecting = c === '{' ? 'key-or-close' : 'value-or-close';
      i++;
      continue;
    }
    const end =
      c === '"' ? stringEnd(text, i) : c === '-' || isDigit(c) ? numberEnd(text, i) : wordEnd(text, i);
    if (end < 0) {
      const at = -end - 1;
      const what = c === '"' ? 'the quoted text is broken' : `unexpected ${shown(text[at])}`;
      return fault(text, at, 'syntax', at >= text.length ? 'the text ends early' : what);
    }
    expecting = open.length === 0 ? 'end' : 'comma-or-close';
    i = end;
  }
}

const isSpace = (code: number): boolean => code === 32 || code === 10 || code === 13 || code === 9;
const isDigit = (c: string | undefined): boolean => c !== undefined && c >= '0' && c <= '9';

/** The index after a token, or −(index of the fault) − 1. */
function stringEnd(text: string, start: number): number {
  for (let i = start + 1; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code === 34) return i + 1;
    if (code < 32) return -i - 1;
    if (code !== 92) continue;
    i++;
    const escaped = text[i];
    if (escaped === 'u') {
      if (!/^[0-9a-fA-F]{4}$/.test(text.slice(i + 1, i + 5))) return -i - 1;
      i += 4;
    } else if (escaped === undefined || !'"\\/bfnrt'.includes(escaped)) return -i - 1;
  }
  return -text.length - 1;
}

function numberEnd(text: string, start: number): number {
  let i = text[start] === '-' ? start + 1 : start;
  const digits = (): boolean => {
    const from = i;
    while (isDigit(text[i])) i++;
    return i > from;
  };
  if (text[i] === '0') i++;
  else if (!digits()) return -i - 1;
  if (text[i] === '.') {
    i++;
    if (!digits()) return -i - 1;
  }
  if (text[i] === 'e' || text[i] === 'E') {
    i++;
    if (text[i] === '+' || text[i] === '-') i++;
    if (!digits()) return -i - 1;
  }
  return i;
}

function wordEnd(text: string, start: number): number {
  for (const word of ['true', 'false', 'null']) {
    if (text.startsWith(word, start)) return start + word.length;
  }
  return -start - 1;
}

function shown(c: string | undefined): string {
  if (c === undefined) return 'the end';
  const code = c.charCodeAt(0);
  return code < 32 || (code >= 0x7f && code < 0xa0) || (code >= 0xd800 && code < 0xe000)
    ? `character ${code}`
    : `'${c}'`;
}

function fault(text: string, index: number, kind: JsonFault['kind'], what: string): JsonFault {
  const before = text.slice(0, index);
  const lastBreak = before.lastIndexOf('\n');
  let line = 1;
  for (let at = before.indexOf('\n'); at >= 0; at = before.indexOf('\n', at + 1)) line++;
  return { kind, what, index, line, column: index - lastBreak };
}
