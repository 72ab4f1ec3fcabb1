import { describe, expect, it } from 'vitest';
import { pointsInWords } from '../../../src/core/space/pointsInWords.ts';
import { enteredTooth } from '../../support/measures.ts';

const tooth = (number: number, source: 'marked' | 'proposed') => ({
  ...enteredTooth(number, 7, 0.1),
  source,
});

describe('what a figure rests on, in words', () => {
  it('says how much of it nobody has confirmed yet', () => {
    const [marked, proposed] = [tooth(31, 'marked'), tooth(32, 'proposed')];
    expect(pointsInWords({ teeth: [marked] }, [31])).toBe('contact points marked on this scan');
    expect(pointsInWords({ teeth: [proposed] }, [32])).toBe(
      'contact points proposed on this scan, not yet confirmed',
    );
    expect(pointsInWords({ teeth: [marked, proposed] }, [31, 32])).toBe(
      'contact points on this scan, not yet confirmed at 1 of 2 teeth',
    );
  });

  it('counts the teeth of the figure alone, and none whose width was entered', () => {
    const teeth = [tooth(31, 'marked'), tooth(32, 'proposed'), enteredTooth(33, 7, 0.1)];
    expect(pointsInWords({ teeth }, [31, 33])).toBe('contact points marked on this scan');
    expect(pointsInWords({ teeth }, [32, 33])).toBe(
      'contact points proposed on this scan, not yet confirmed',
    );
    expect(pointsInWords({ teeth }, [31, 32, 33])).toMatch(/at 1 of 2 teeth$/);
  });
});
