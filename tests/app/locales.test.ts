import { spawnSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

// Clocks and tongues: what is printed, saved and exported does not depend on where the program runs, but for the clock
// on the wall.

const ROOT = fileURLToPath(new URL('../../', import.meta.url));

interface Printed {
  readonly tongue: string;
  readonly zone: string;
  readonly plain: string;
  readonly texts: readonly string[];
  readonly stored: readonly string[];
  readonly csv: string;
  readonly saved: string;
  readonly moment: readonly string[];
  readonly today: string;
  readonly clock: readonly number[];
}

function printedIn(tongue: string, zone: string): Printed {
  const run = spawnSync(
    process.execPath,
    [join(ROOT, 'node_modules/tsx/dist/cli.mjs'), join(ROOT, 'tests/support/printFormats.ts')],
    { encoding: 'utf8', env: { ...process.env, TZ: zone, LC_ALL: tongue, LANG: tongue, LANGUAGE: '' } },
  );
  if (run.status !== 0) throw new Error(run.stderr);
  return JSON.parse(run.stdout) as Printed;
}

const PLACES = [
  ['de_DE.UTF-8', 'Europe/Berlin', '2 March 2026', '2 Mar 2026, 00:30'],
  ['fr_FR.UTF-8', 'Pacific/Kiritimati', '2 March 2026', '2 Mar 2026, 13:30'],
  ['pt_BR.UTF-8', 'America/Sao_Paulo', '1 March 2026', '1 Mar 2026, 20:30'],
  ['ar_EG.UTF-8', 'Pacific/Pago_Pago', '1 March 2026', '1 Mar 2026, 12:30'],
  ['hi_IN.UTF-8', 'Asia/Kathmandu', '2 March 2026', '2 Mar 2026, 05:15'],
] as const;

describe('in any tongue and time zone', () => {
  it.each(PLACES)('%s, %s', (tongue, zone, dayThere, timeThere) => {
    const printed = printedIn(tongue, zone);
    // The setting took effect: the language's own way differs where it has a decimal comma.
    expect(printed.tongue.slice(0, 2)).toBe(tongue.slice(0, 2));
    expect(printed.zone.replace('Katmandu', 'Kathmandu')).toBe(zone);
    if (/^(de|fr|pt)/.test(tongue)) expect(printed.plain).toMatch(/,5$/);

    expect(printed.texts).toEqual([
      '−0.30',
      '+0.25',
      '1234.57',
      '±\u20090.08',
      '12.3\u202f%',
      '1,234,567',
      '1.5 MB',
    ]);
    expect(printed.stored).toEqual(['1 March 2026', '29 February 2024', '25 October 2026']);
    expect(printed.csv).toBe('\uFEFFa\r\n-1234.5\r\n0.1\r\n');
    expect(JSON.parse(printed.saved).createdAt).toBe('2026-03-01T23:30:00.000Z');
    expect(printed.moment).toEqual([dayThere, timeThere]);
    const [year, month, date] = printed.clock.map((n) => String(n).padStart(2, '0'));
    expect(printed.today).toBe(`${year}-${month}-${date}`);
  });

  it('nothing is written in the tongue of the machine', () => {
    const bare: string[] = [];
    for (const folder of ['src', 'workers'])
      for (const entry of readdirSync(join(ROOT, folder), { recursive: true, withFileTypes: true })) {
        if (!/\.tsx?$/.test(entry.name)) continue;
        const text = readFileSync(join(entry.parentPath, entry.name), 'utf8');
        for (const [found] of text.matchAll(/toLocale\w*\((?!'en-GB')[^)]*|Intl\.\w+\((?!'en-GB')[^)]*/g))
          bare.push(`${entry.name}: ${found}`);
      }
    expect(bare).toEqual([]);
  });
});
