import { SelectField, TextButton } from '../design/controls.tsx';
import { useStore } from '../store.ts';
import { showDialog } from '../topbar/dialogStore.ts';
import { LeftOut } from './LeftOut.tsx';
import { readingName, readingWidths } from './readingWidths.ts';
import { setStudy, useStudy } from './studyStore.ts';

/** Two readings of the arch at hand, of one observer or of two; more than two also all together. */
export function ReadingsSource() {
  const jaw = useStore((state) => state.activeJaw);
  const readings = useStore((state) => state.caseDocument.arches[jaw]?.readings) ?? [];
  const [first, second] = useStudy((state) => state.readings);
  const leftOut = useStudy((state) => state.readingsLeftOut);
  const named = readings.map((reading, i) => ({
    id: i,
    label: `${i + 1}. ${readingName(reading)}${reading.orderSeed === undefined ? '' : ', blinded'}`,
    widths: readingWidths(reading).size,
  }));
  const choices = named.map(({ id, label, widths }) => ({
    id: String(id),
    label,
    note: `${widths} widths`,
  }));
  const together = named.filter(({ widths }) => widths > 0);
  return (
    <>
      <p className="soft">
        Each reading is one observer’s one pass over the scan. A new one begins without marks. A blinded one
        asks for the teeth in an order of chance, proposes nothing, and keeps earlier marks and all figures
        out of sight, so that nothing leads the hand.
      </p>
      {readings.length < 2 && (
        <p>This arch has {readings.length === 1 ? 'one reading' : 'no reading'} so far; two are needed.</p>
      )}
      {readings.length > 1 && (
        <div className="study__fields">
          <SelectField
            label="First reading"
            choices={choices}
            value={String(first)}
            onChange={(id) => setStudy({ readings: [Number(id), second] })}
          />
          <SelectField
            label="Second reading"
            choices={choices}
            value={String(second)}
            onChange={(id) => setStudy({ readings: [first, Number(id)] })}
          />
        </div>
      )}
      {together.length > 2 && (
        <LeftOut
          label="Readings compared all together"
          choices={together}
          leftOut={leftOut}
          onChange={(readingsLeftOut) => setStudy({ readingsLeftOut })}
        />
      )}
      <div className="study__row">
        <TextButton
          onPress={() => {
            setStudy({ open: false });
            showDialog('reading');
          }}
        >
          Start a reading…
        </TextButton>
      </div>
    </>
  );
}
