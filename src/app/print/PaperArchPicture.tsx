import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import type { ReductionPlan } from '../../core/reduction/ReductionPlan.ts';
import { fixed, jawName } from '../format.ts';
import { ArchFigure } from '../visits/ArchFigure.tsx';
import { useScanPicture } from './useScanPicture.ts';

/** The scan from above with the tenths planned at its contacts. */
export function PaperArchPicture({
  record,
  measures,
  plan,
}: {
  record: ArchRecord;
  measures: ArchMeasures;
  plan: ReductionPlan;
}) {
  const picture = useScanPicture(record);
  return (
    <figure className="paper__picture">
      <ArchFigure
        measures={measures}
        picture={picture}
        words={plan.contacts
          .filter(({ totalMm }) => totalMm > 0)
          .map(({ teeth, totalMm, heldBackMm }) => ({
            teeth,
            order: null,
            main: fixed(totalMm, 1),
            below: null,
            held: heldBackMm > 1e-9 ? fixed(heldBackMm, 1) : null,
          }))}
        label={`${jawName(record.jaw)} from above with the tenths planned`}
      />
      <figcaption className="paper__note">
        {picture
          ? 'The scan from above, patient’s right on the left, to the scale drawn.'
          : 'From above, patient’s right on the left; outlines schematic, because the scan is not at hand.'}{' '}
        In each box: mm planned at the contact; dashed: held back of it.
      </figcaption>
    </figure>
  );
}
