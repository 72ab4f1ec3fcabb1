import { describe, expect, it } from 'vitest';
import { doubtfulMarks } from '../../../src/app/proposal/doubtfulMarks.ts';
import { proposedInWords } from '../../../src/app/proposal/proposedInWords.ts';
import { type MarkSite, markKey, type PlacedMark } from '../../../src/core/marks/Mark.ts';

const mark = (
  tooth: number,
  site: MarkSite,
  confidence: number | null,
  state: PlacedMark['state'] = 'proposed',
): PlacedMark => ({ tooth, site, pointMm: [0, 0, 0], state, confidence });

const keys = (...args: Parameters<typeof doubtfulMarks>) =>
  doubtfulMarks(...args).map((d) => markKey(d.mark));

describe('doubtful marks', () => {
  const marks = [
    mark(11, 'mesial', 0.9),
    mark(11, 'distal', 0.49),
    mark(12, 'mesial', 0.2),
    mark(12, 'distal', 0.1, 'confirmed'),
    mark(13, 'mesial', 0.8),
    mark(13, 'distal', 0.7),
    mark(13, 'cusp', 0.3),
    mark(14, 'mesial', 0.5),
    mark(15, 'mesial', null),
  ];

  it('are the proposed ones below one half, least sure first; a confirmed mark never is', () => {
    expect(keys(marks)).toEqual(['12-mesial', '13-cusp', '11-distal']);
    for (const { reasons } of doubtfulMarks(marks)) expect(reasons).toHaveLength(1);
    expect(doubtfulMarks(marks)[1].reasons[0]).toContain('cusp tip');
  });

  it('take up what is said of their tooth: the unsure point, or both where none is unsure by itself', () => {
    const doubts = [
      { tooth: 13, message: 'No clear cleft.' },
      { tooth: 11, message: 'Too small.' },
    ];
    expect(keys(marks, doubts)).toEqual(['12-mesial', '13-cusp', '11-distal', '13-distal', '13-mesial']);
    const reasons = Object.fromEntries(doubtfulMarks(marks, doubts).map((d) => [markKey(d.mark), d.reasons]));
    expect(reasons['11-distal']).toEqual(['Too small.']);
    expect(reasons['13-mesial']).toEqual(['No clear cleft.']);
    expect(reasons['13-cusp'][0]).toContain('cusp tip');
    expect(reasons['12-mesial'][0]).toContain('hidden or unclear');
  });

  it('are counted in words', () => {
    expect(proposedInWords(marks, 3)).toBe(
      '7 contact points and 1 tip proposed; 3 doubtful. Look at the doubtful ones first.',
    );
    expect(proposedInWords([mark(11, 'mesial', 1)], 0)).toBe('1 contact point proposed; none doubtful.');
    expect(proposedInWords([mark(11, 'mesial', 1, 'confirmed')], 0)).toBe('Nothing was proposed.');
  });
});
