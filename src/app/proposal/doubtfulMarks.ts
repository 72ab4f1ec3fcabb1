import type { MarkSite, PlacedMark } from '../../core/marks/Mark.ts';
import type { MarkProposal } from '../../core/marks/proposeMarks.ts';

/** A proposed mark that should be looked at before it is accepted, with the reasons in words. */
export interface DoubtfulMark {
  readonly mark: PlacedMark;
  readonly reasons: readonly string[];
}

const DOUBTFUL_BELOW = 0.5;

const UNCLEAR: Readonly<Record<MarkSite, string>> = {
  mesial: 'The contact point is hidden or unclear.',
  distal: 'The contact point is hidden or unclear.',
  cusp: 'The cusp tip is not clear on the surface.',
  incisal: 'The incisal edge is not clear on the surface.',
};

const isContact = ({ site }: PlacedMark): boolean => site === 'mesial' || site === 'distal';
const isUnsure = ({ confidence }: PlacedMark): boolean => confidence !== null && confidence < DOUBTFUL_BELOW;

/**
 * The doubtful ones among proposed marks, least confidence first. A doubt about a tooth falls on its unsure
 * contact points, or on both of them where none is unsure by itself.
 */
export function doubtfulMarks(
  marks: readonly PlacedMark[],
  doubts: MarkProposal['doubts'] = [],
): readonly DoubtfulMark[] {
  const proposed = marks.filter((mark) => mark.state === 'proposed');
  return proposed
    .flatMap((mark): DoubtfulMark[] => {
      const unsureContact = marks.some((m) => m.tooth === mark.tooth && isContact(m) && isUnsure(m));
      const concerned = isContact(mark) && (isUnsure(mark) || !unsureContact);
      const said = concerned
        ? doubts.filter(({ tooth }) => tooth === mark.tooth).map(({ message }) => message)
        : [];
      if (said.length === 0 && !isUnsure(mark)) return [];
      return [{ mark, reasons: said.length > 0 ? said : [UNCLEAR[mark.site]] }];
    })
    .sort((a, b) => (a.mark.confidence ?? 1) - (b.mark.confidence ?? 1));
}
