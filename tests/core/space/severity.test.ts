import { expect, it } from 'vitest';
import { SEVERITY_SCALES, severityChances, severityGrades } from '../../../src/core/space/severity.ts';

const scale = (id: string) => SEVERITY_SCALES.find((s) => s.id === id)!;

it('chances of the bands: of a shortage on the border of two, half and half', () => {
  // Mild below 4, moderate 4 to 8 mm (Mitchell; Cobourne and DiBiase 2010); Φ(−4) = 0.0000317.
  const { bands, none, between } = severityChances(scale('four-eight'), 4, 1);
  expect(bands[0]).toBeCloseTo(0.5 - 0.0000317, 6);
  expect(bands[1]).toBeCloseTo(0.5 - 0.0000317, 6);
  expect(none).toBeCloseTo(0.0000317, 6);
  expect(between).toBeCloseTo(0, 6);
});

it('add up to 1, gaps between bands counted, and follow the grade where nothing errs', () => {
  for (const one of SEVERITY_SCALES)
    for (let shortage = -2; shortage <= 12; shortage += 0.25) {
      for (const sd of [0.3, 1.5]) {
        const { bands, none, between } = severityChances(one, shortage, sd);
        for (const chance of [...bands, none, between]) expect(chance).toBeGreaterThanOrEqual(-1e-12);
        expect(bands.reduce((a, b) => a + b, 0) + none + between).toBeCloseTo(1, 9);
      }
      const exact = severityChances(one, shortage, 0);
      const grade = severityGrades(shortage).find(({ scale: s }) => s === one)?.grade ?? null;
      const at = exact.bands.indexOf(1);
      expect(at < 0 ? null : one.bands[at].grade, `${one.id} ${shortage}`).toBe(grade);
    }
  // 3.5 mm lies between mild (to 3) and moderate (from 4): whole millimetres only.
  expect(severityChances(scale('three-six-nine'), 3.5, 0).between).toBe(1);
});

it.each([0.5, 2])('chances go by how many SDs a border lies off (SD %d mm)', (sd) => {
  // A shortage one SD above 4 mm; normal table.
  const { bands, none } = severityChances(scale('four-eight'), 4 + sd, sd);
  expect(bands[0] + none).toBeCloseTo(0.158655, 6); // below 4 mm: Φ(−1)
  expect(bands[2]).toBeCloseTo(sd === 0.5 ? 0 : 0.158655, 6); // above 8 mm: 1 − Φ(7), or 1 − Φ(1)
});
