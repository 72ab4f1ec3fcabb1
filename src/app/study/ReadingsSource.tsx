import { SelectField, TextButton } from '../design/controls.tsx';
import { useStore } from '../store.ts';
import { showDialog } from '../topbar/dialogStore.ts';
import { readingName, readingWidths } from './studyData.ts';
import { setStudy, useStudy } from './studyStore.ts';

/** Two readings of the arch at hand, of one observer or of two. */
export function ReadingsSource() {
  const jaw = useStore((state) => state.activeJaw);
  const readings = useStore((state) => state.caseDocument.arches[jaw]?.readings) ?? [];
  const [first, second] = useStudy((state) => state.readings);
  const choices = readings.map((reading, i) => ({
    id: String(i),
    label: `${i + 1}. ${readingName(reading)}`,
    note: `${readingWidths(reading).size} widths`,
  }));
  return (
    <>
      <p className="soft">
        Each reading is one observer’s one pass over the scan. A new one begins without marks; a blinded one
        asks for the teeth in an order of chance and proposes nothing, so that nobody is led by the reading
        before.
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
