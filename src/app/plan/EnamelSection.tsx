import { useState } from 'react';
import { toothLabel } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { ENAMEL_SHARE_SOURCE } from '../../core/reduction/enamel.ts';
import { enamelOverview, type SurfaceEnamel } from '../../core/reduction/enamelOverview.ts';
import type { ReductionPlan } from '../../core/reduction/ReductionPlan.ts';
import type { ContactLimits } from '../../core/reduction/reductionRequest.ts';
import { DialogSheet, TextButton } from '../design/controls.tsx';
import { mm, percent, STANDING_WORDS, sentence } from '../format.ts';
import { useStore } from '../store.ts';
import { EnamelTable } from './EnamelTable.tsx';
import { enamelSources } from './enamelSources.ts';

/** The enamel in brief, and the way to the table of every surface. */
export function EnamelSection({
  record,
  limits,
  plan,
}: {
  record: ArchRecord;
  limits: readonly ContactLimits[];
  plan: ReductionPlan | null;
}) {
  const [isOpen, setOpen] = useState(false);
  const notation = useStore((state) => state.caseDocument.notation);
  const rows = enamelOverview(limits, plan);
  const thinnest = least(rows);
  const read = rows.filter((row) => row.limitFrom === 'half-radiograph').length;
  return (
    <section className="sheet__section" aria-labelledby="enamel">
      <div className="sheet__head">
        <h3 className="sheet__title" id="enamel">
          Enamel
        </h3>
        <TextButton small onPress={() => setOpen(true)}>
          All {rows.length} surfaces…
        </TextButton>
      </div>
      {thinnest && (
        <p className="sheet__note">
          Thinnest after the plan: {toothLabel(thinnest.tooth, notation)} {thinnest.surface},{' '}
          {mm(thinnest.leftMm)}&nbsp;mm left
          {thinnest.sdMm !== null && ` (± ${mm(thinnest.sdMm)} between people)`};{' '}
          {percent(thinnest.takenShare ?? 0)} taken.{' '}
          {read > 0
            ? `${read} of ${rows.length} thicknesses read on a radiograph, the rest published means.`
            : 'All thicknesses are published means: enter what the radiograph shows.'}
        </p>
      )}
      <DialogSheet title="Enamel of every surface" open={isOpen} onClose={() => setOpen(false)} wide>
        <p className="sheet__note">
          Limit: half of the untouched enamel, less what was taken earlier (
          {STANDING_WORDS[ENAMEL_SHARE_SOURCE.standing]}; {ENAMEL_SHARE_SOURCE.text}). Enter the thickness a
          radiograph shows, before any reduction; it takes the place of the published mean. A limit of your
          own, with its reason, is set where the contact is selected.
        </p>
        <EnamelTable rows={rows} record={record} />
        <EnamelSources rows={rows} />
        <div className="dialog__actions">
          <TextButton tone="strong" onPress={() => setOpen(false)}>
            Done
          </TextButton>
        </div>
      </DialogSheet>
    </section>
  );
}

function least(rows: readonly SurfaceEnamel[]): SurfaceEnamel | null {
  const known = rows.filter((row) => row.leftMm !== null);
  return known.length === 0 ? null : known.reduce((a, b) => ((b.leftMm ?? 0) < (a.leftMm ?? 0) ? b : a));
}

/** Sources of the thicknesses, each once, by its mark in the table. */
export function EnamelSources({ rows }: { rows: readonly SurfaceEnamel[] }) {
  return (
    <ol className="enamel__sources sheet__note">
      {enamelSources(rows).map((text) => (
        <li key={text}>{sentence(text)}</li>
      ))}
    </ol>
  );
}
