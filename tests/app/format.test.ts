import { describe, expect, it } from 'vitest';
import { sentence, unbroken } from '../../src/app/format.ts';

describe('figures stay with their units at the end of a line', () => {
  it('between figure and unit, and between SD or sign and figure', () => {
    expect(unbroken('1.72 mm (SD 0.89) are needed; 0.20 mm at a risk of 5 %')).toBe(
      '1.72\u00a0mm (SD\u00a00.89) are needed; 0.20\u00a0mm at a risk of\u00a05\u00a0%',
    );
    expect(sentence('fit 0.6 mm')).toBe('Fit 0.6\u00a0mm.');
  });

  it('and nowhere else', () => {
    const plain = 'tooth 15 is marked; 3 of 12 mmol, SD of teeth';
    expect(unbroken(plain)).toBe(plain);
  });
});
