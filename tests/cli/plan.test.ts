import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { planReduction } from '../../src/core/reduction/planReduction.ts';
import { sideBalance } from '../../src/core/reduction/sidesInBalance.ts';
import { makeContact, makeRequest } from '../support/reductionRequests.ts';

const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
const TSX = join(ROOT, 'node_modules', 'tsx', 'dist', 'cli.mjs');

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'archledger-plan-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** `plan` as a real process on a file of that text. */
function plan(text: string, ...more: string[]) {
  const file = join(folder, 'request.json');
  writeFileSync(file, text);
  const run = spawnSync(process.execPath, [TSX, 'src/cli/main.ts', 'plan', file, ...more], {
    cwd: ROOT,
    encoding: 'utf8',
    timeout: 60_000,
  });
  expect(readFileSync(file, 'utf8')).toBe(text);
  return { code: run.status, stdout: run.stdout, stderr: run.stderr };
}

describe('plan REQUEST.json', () => {
  it('moves the midline as asked', () => {
    const request = makeRequest({ neededMm: 1.2 });
    const { code, stdout } = plan(JSON.stringify(request), '--shift-right=-0.2');
    expect(code).toBe(0);
    const found = JSON.parse(stdout);
    expect(found).toEqual(planReduction(request, { midline: { shiftToRightMm: -0.2, toleranceMm: 0 } }));
    expect(sideBalance(found).shiftToRightMm).toBeCloseTo(-0.2, 9);
  });

  it('a case gives the plans of its arches, together where it says so, with what the band asks for', () => {
    const text = readFileSync(join(ROOT, 'sample-meshes', 'pair.case.json'), 'utf8');
    const alone = plan(text, '--case');
    expect(alone.code).toBe(0);
    const apart = JSON.parse(alone.stdout);
    expect(apart.together).toBeNull();
    expect([apart.upper.schema, apart.lower.schema]).toEqual(Array(2).fill('archledger/reduction-plan@1'));
    const together = {
      isOn: true,
      ratios: 'anterior',
      target: 'own',
      own: { overall: null, anterior: { lowPercent: 72, highPercent: 73 } },
      extraMm: { upper: 0, lower: 0 },
    };
    const both = JSON.parse(plan(JSON.stringify({ ...JSON.parse(text), together }), '--case').stdout);
    for (const jaw of ['upper', 'lower']) expect(both[jaw].plannedMm).toBe(apart[jaw].plannedMm);
    expect(both.lower.contacts).not.toEqual(apart.lower.contacts);
    expect(both.together.bands[0].highPercent).toBe(73);
    expect(both.together.outsideBandsMm).toBeGreaterThan(0);
    expect(both.together.cost.extraMm.lower).toBeGreaterThan(0);
    const crossed = { ...together, own: { overall: null, anterior: { lowPercent: 74, highPercent: 73 } } };
    const refused = plan(JSON.stringify({ ...JSON.parse(text), together: crossed }), '--case');
    expect(refused.code).toBe(1);
    expect(refused.stderr).toContain('together.own.anterior.highPercent');
  });

  it('prints the plan and nothing else', () => {
    const request = makeRequest({ neededMm: 1.3, neededSdMm: 0.2 });
    const { code, stdout, stderr } = plan(JSON.stringify(request));
    expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
    expect(JSON.parse(stdout)).toEqual(planReduction(request));
    expect(Object.keys(JSON.parse(stdout))).toEqual([
      'schema',
      'status',
      'goalMm',
      'commitMm',
      'plannedMm',
      'heldBackMm',
      'shortMm',
      'contacts',
      'forecast',
    ]);
  });

  it('takes the two teeth of a contact in either order', () => {
    const request = makeRequest({
      neededMm: 0.3,
      contacts: [makeContact([31, 41], { surfaceLimitsMm: [0.1, 0.5] })],
    });
    const { code, stdout } = plan(JSON.stringify(request));
    expect(code).toBe(0);
    expect(JSON.parse(stdout).contacts[0]).toMatchObject({ teeth: [31, 41], surfacesMm: [0.1, 0.2] });
  });

  it('a shortfall and a spaced arch are results, not errors', () => {
    expect(JSON.parse(plan(JSON.stringify(makeRequest({ neededMm: 9 }))).stdout).status).toBe('short');
    expect(JSON.parse(plan(JSON.stringify(makeRequest({ neededMm: -2 }))).stdout).status).toBe('none');
  });

  it.each([
    ['not JSON', '{"schema":', 'json-invalid', 'line 1'],
    ['an empty file', '', 'json-invalid', ''],
    ['another kind', '{"schema":"archledger/case@1"}', 'schema-unknown', 'archledger/reduction-request@1'],
    ['a later version', '{"schema":"archledger/reduction-request@9"}', 'schema-newer', ''],
    [
      'an infinite need',
      JSON.stringify(makeRequest()).replace('"neededMm":1,', '"neededMm":1e999,'),
      'request-invalid',
      'neededMm',
    ],
    [
      'a broken name',
      JSON.stringify({ ...makeRequest(), 'a\nb': 1 }),
      'request-invalid',
      '"a\\nb" is not valid',
    ],
    [
      'a negative limit',
      JSON.stringify(makeRequest({ contacts: [makeContact([41, 31], { limitMm: -1 })] })),
      'request-invalid',
      'contacts[0].limitMm',
    ],
  ])('refuses %s in one line', (_, text, code, named) => {
    const run = plan(text);
    expect(run.stderr).toMatch(/^refused [a-z-]+: [^\n]+\n$/);
    expect(run.stderr).toContain(`refused ${code}: `);
    expect(run.stderr).toContain(named);
    expect({ code: run.code, stdout: run.stdout }).toEqual({ code: 1, stdout: '' });
  });

  it('an extra word or an unknown option is wrong usage', () => {
    expect(plan('{}', 'more').code).toBe(2);
    expect(plan('{}', '--fast').code).toBe(2);
    expect(plan('{}', '--shift-right', 'far').code).toBe(2);
    expect(plan('{}', '--case', '--shift-right', '0').code).toBe(2);
  });
});
