import { Group } from 'react-aria-components';
import type { Jaw } from '../../core/base/tooth.ts';
import { TextButton } from '../design/controls.tsx';
import { useHideFigures } from '../design/hiddenFigures.tsx';
import { actions, useArch } from '../store.ts';
import { finishReading, partnerOf, readingProgress, startReading } from './blindedReading.ts';
import { setStudy } from './studyStore.ts';

const WHY =
  'Earlier marks and every width stay out of sight until this reading is finished, so that they do not lead your hand.';

/** Above the arch while a blinded reading is under way: how far it has come, and how it ends. */
export function BlindedBar({ jaw }: { jaw: Jaw }) {
  const record = useArch(jaw);
  useHideFigures(WHY);
  if (!record) return null;
  const { observer, repeat } = record.readings[record.activeReading];
  const { placed, all } = readingProgress(record);
  const partner = partnerOf(record);
  const isWhole = placed === all;
  const compare = (): void => {
    finishReading(jaw);
    setStudy({ open: true, source: 'readings' });
  };
  const repeatIt = (): void => {
    finishReading(jaw);
    startReading(jaw, observer, true);
  };
  const putAside = (): void => {
    const other = partner ?? record.readings.findIndex((_, i) => i !== record.activeReading);
    actions().setActiveReading(jaw, other);
    actions().announce('Reading put aside; it can be gone on with under Readings of this arch.');
  };
  return (
    <Group className="lesson" aria-label="Blinded reading">
      <div className="lesson__head">
        <h2 className="lesson__title">
          Blinded reading {repeat}
          {observer && `, ${observer}`}
        </h2>
        {record.readings.length > 1 && (
          <span className="lesson__actions">
            <TextButton small tone="plain" onPress={putAside}>
              Put aside
            </TextButton>
          </span>
        )}
      </div>
      <div className="lesson__part">
        <p>
          {isWhole
            ? 'All points are marked. Look over them if you wish, then finish: after that the figures are shown.'
            : 'The teeth are asked for in an order of chance; earlier marks are hidden.'}{' '}
          <b className="num">{placed}</b> of {all} points are marked.
        </p>
        <span className="lesson__do">
          <TextButton small isDisabled={placed === 0} onPress={repeatIt}>
            Finish, then repeat
          </TextButton>
          <TextButton
            small
            tone={isWhole ? 'strong' : 'normal'}
            isDisabled={placed === 0}
            onPress={partner === null ? () => finishReading(jaw) : compare}
          >
            {partner === null ? 'Finish' : 'Finish and compare'}
          </TextButton>
        </span>
      </div>
    </Group>
  );
}
