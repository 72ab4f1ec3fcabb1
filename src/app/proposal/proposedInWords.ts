import type { PlacedMark } from '../../core/marks/Mark.ts';

const many = (n: number, one: string): string => `${n} ${one}${n === 1 ? '' : 's'}`;

/** "28 contact points and 14 tips proposed; 5 doubtful. Look at the doubtful ones first." */
export function proposedInWords(marks: readonly PlacedMark[], doubtful: number): string {
  const proposed = marks.filter((mark) => mark.state === 'proposed');
  const contacts = proposed.filter(({ site }) => site === 'mesial' || site === 'distal').length;
  const tips = proposed.length - contacts;
  if (proposed.length === 0) return 'Nothing was proposed.';
  const parts = [contacts > 0 && many(contacts, 'contact point'), tips > 0 && many(tips, 'tip')];
  const what = parts.filter(Boolean).join(' and ');
  return doubtful > 0
    ? `${what} proposed; ${doubtful} doubtful. Look at the doubtful ones first.`
    : `${what} proposed; none doubtful.`;
}
