import { describe, expect, it } from 'vitest';
import { isToScale, PLACEHOLDER_MM, stripLayout } from '../../../src/app/strip/stripLayout.ts';
import { positionOf } from '../../../src/core/base/tooth.ts';
import { archAccount } from '../../../src/core/casefile/archAccount.ts';
import type { ArchRecord } from '../../../src/core/casefile/CaseDocument.ts';
import { newArchRecord } from '../../../src/core/casefile/newCase.ts';
import { planReduction } from '../../../src/core/reduction/planReduction.ts';
import { alignedTeeth, ellipseCurve, type MadeTooth, markArch } from '../../support/markArches.ts';

/** A lower arch on an ellipse; `slotRatio` below 1 crowds the teeth mesial to the first molars. */
function makeRecord(slotRatio = 0.95): ArchRecord {
  const teeth = alignedTeeth('lower').map(
    (tooth): MadeTooth =>
      tooth.position <= 5
        ? { ...tooth, slotMm: tooth.widthMm * slotRatio, outwardMm: tooth.position % 2 ? 0.8 : -0.8 }
        : tooth,
  );
  const { input } = markArch({ jaw: 'lower', curve: ellipseCurve(26, 38), limit: 2.2, teeth });
  const record = newArchRecord({
    jaw: 'lower',
    scan: {
      file: 'made.stl',
      sha256: '0'.repeat(64),
      format: 'stl-binary',
      byteCount: 1,
      unit: 'mm',
      triangles: 1,
      vertices: 3,
    },
    medianEdgeMm: 0.2,
    frame: input.frame,
  });
  return { ...record, readings: [{ observer: '', repeat: 1, marks: input.marks }] };
}

describe('stripLayout', () => {
  it('lays blocks of true width end to end, patient’s right first', () => {
    const record = makeRecord();
    const { measures } = archAccount(record);
    const { blocks } = stripLayout(record, measures, null);
    expect(blocks.map((block) => block.tooth)).toEqual([
      47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37,
    ]);
    for (const [i, block] of blocks.entries()) {
      const width = measures.teeth.find((m) => m.tooth === block.tooth)!.widthMm;
      expect(block.row.toMm - block.row.fromMm).toBeCloseTo(width, 9);
      if (i > 0) expect(block.row.fromMm).toBeCloseTo(blocks[i - 1].row.toMm, 9);
    }
  });

  it('sticks out at both ends by what the widths exceed what straight teeth can use of the arch line', () => {
    const record = makeRecord();
    const { measures } = archAccount(record);
    const { overMm, lineEnds } = stripLayout(record, measures, null);
    const widths = measures.teeth
      .filter((m) => positionOf(m.tooth) <= 5)
      .reduce((sum, m) => sum + m.widthMm, 0);
    const line = measures.line!.length.valueMm - measures.line!.chordExcessMm;
    // The polyline is finer than 0.01 mm to the curve whose length is measured.
    expect(lineEnds![1] - lineEnds![0]).toBeCloseTo(line, 1);
    expect(overMm!.right + overMm!.left).toBeCloseTo(widths - line, 1);
    expect(overMm!.right + overMm!.left).toBeGreaterThan(1);
  });

  it('fits better after the plan by all of it, the part of the molars on the line', () => {
    const record = makeRecord();
    const { measures, asked } = archAccount(record);
    const plan = planReduction(asked!.request);
    const before = stripLayout(record, measures, null).overMm!;
    const after = stripLayout(record, measures, plan).overMm!;
    expect(plan.plannedMm).toBeGreaterThan(0.5);
    expect(before.right + before.left - after.right - after.left).toBeCloseTo(plan.plannedMm, 6);
  });

  it('draws an unmeasured tooth at the placeholder width and calls nothing to scale while none has one', () => {
    const full = makeRecord();
    const record = { ...full, readings: [{ observer: '', repeat: 1, marks: [] }] };
    const layout = stripLayout(record, archAccount(record).measures, null);
    expect(isToScale(layout)).toBe(false);
    expect(layout.overMm).toBeNull();
    for (const { row, state } of layout.blocks) {
      expect(state).toBe('unmeasured');
      expect(row.toMm - row.fromMm).toBeCloseTo(PLACEHOLDER_MM, 9);
    }
  });

  it('leaves a missing tooth out and names it at the contact over its place', () => {
    const full = makeRecord();
    const marks = full.readings[0].marks.filter((mark) => mark.tooth !== 42);
    const record: ArchRecord = {
      ...full,
      chart: { ...full.chart, missing: [42] },
      readings: [{ observer: '', repeat: 1, marks }],
    };
    const layout = stripLayout(record, archAccount(record).measures, null);
    expect(layout.blocks.some((block) => block.tooth === 42)).toBe(false);
    const over = layout.contacts.find((contact) => contact.teeth.join() === '43,41');
    expect(over?.missingBetween).toEqual([42]);
  });
});
