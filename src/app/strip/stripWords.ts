import { type Notation, toothLabel } from '../../core/base/tooth.ts';
import type { PlanContact, ReductionRequest } from '../../core/reduction/ReductionPlan.ts';
import { contactLabel, mm, toothName } from '../format.ts';
import type { StripBlock, StripContact } from './stripLayout.ts';

const STATE_WORDS: Readonly<Record<StripBlock['state'], string>> = {
  confirmed: 'marks confirmed',
  proposed: 'marks proposed, not yet confirmed',
  entered: 'width entered by you',
  unmeasured: 'not measured',
};

/** A tooth of the strip in words. */
export function toothWords(block: StripBlock, notation: Notation): string {
  const width = block.measure ? `width ${mm(block.measure.widthMm)} mm, SD ${mm(block.measure.sdMm)}, ` : '';
  const erupted = block.unerupted ? ', unerupted' : '';
  return `Tooth ${toothLabel(block.tooth, notation)}, ${toothName(block.tooth)}: ${width}${STATE_WORDS[block.state]}${erupted}`;
}

const LEAST_OVERLAP_MM = 0.005; // what would read as nothing

/** A contact of the strip in words: planned, held back, limit, and how its teeth stand. */
export function contactWords(
  contact: StripContact,
  limit: ReductionRequest['contacts'][number] | null,
  planned: PlanContact | null,
  notation: Notation,
): string {
  const parts: string[] = [];
  if (planned && planned.totalMm > 0) {
    parts.push(`planned ${mm(planned.totalMm, 1)} mm`);
    if (planned.heldBackMm > 0) parts.push(`of which ${mm(planned.heldBackMm, 1)} held back`);
  } else parts.push('nothing planned');
  if (limit?.locked) parts.push('locked');
  else if (limit) parts.push(`limit ${mm(limit.limitMm, 1)}`);
  if (contact.separationFrom === 'surface' && contact.separationMm === 0) parts.push('touching or bridged');
  else if (contact.separationMm !== null && contact.separationMm >= 0)
    parts.push(`separation ${mm(contact.separationMm)} mm from the ${contact.separationFrom}`);
  if (contact.alongArchMm !== null && contact.alongArchMm < -LEAST_OVERLAP_MM)
    parts.push(`overlap along the arch ${mm(-contact.alongArchMm)} mm`);
  if (contact.displacementMm !== null) parts.push(`displacement ${mm(contact.displacementMm)} mm`);
  if (contact.missingBetween.length > 0)
    parts.push(`missing between: ${contact.missingBetween.map((t) => toothLabel(t, notation)).join(', ')}`);
  return `Contact ${contactLabel(contact.teeth, notation)}: ${parts.join(', ')}`;
}
