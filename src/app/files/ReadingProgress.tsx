import { Label, ProgressBar } from 'react-aria-components';
import { TextButton } from '../design/controls.tsx';
import { percent } from '../format.ts';
import { useFiles } from './fileStore.ts';

/** A scan being read, over the scene; the case at hand stays as it is until it is done. */
export function ReadingProgress() {
  const reading = useFiles((state) => state.reading);
  if (!reading) return null;
  return (
    <div className="reading">
      <div className="reading__card">
        <ProgressBar
          className="contents"
          value={(reading.ratio ?? 0) * 100}
          isIndeterminate={reading.ratio === null}
          valueLabel={reading.ratio === null ? reading.stage : `${reading.stage}, ${percent(reading.ratio)}`}
        >
          {({ percentage }) => (
            <>
              <Label>
                <b>{reading.fileName}</b>
              </Label>
              <div className="reading__bar">
                <i style={{ width: `${percentage ?? 0}%` }} />
              </div>
            </>
          )}
        </ProgressBar>
        <div className="reading__foot">
          <span className="soft">{reading.stage}…</span>
          <TextButton small onPress={reading.cancel}>
            Cancel
          </TextButton>
        </div>
      </div>
    </div>
  );
}
