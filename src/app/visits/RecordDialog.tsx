import { type KeyboardEvent, useEffect, useMemo, useRef, useState } from 'react';
import type { Jaw } from '../../core/base/tooth.ts';
import { type CuttingInstrument, contactKey, standingEntries } from '../../core/visits/CutEntry.ts';
import { WAY_SOURCES } from '../../core/visits/cutEstimate.ts';
import { usePlannedAmounts } from '../account/usePlannedAmounts.ts';
import {
  DialogSheet,
  Segments,
  SelectField,
  SwitchField,
  TextButton,
  TextInput,
} from '../design/controls.tsx';
import { showRefusal } from '../files/openScan.ts';
import { keepVersion } from '../files/session.ts';
import { fixed, mm, STANDING_WORDS, sentence } from '../format.ts';
import { actions, useStore } from '../store.ts';
import { DateInput } from './DateInput.tsx';
import { RecordRow } from './RecordRow.tsx';
import { EMPTY_ROW, entriesOf, type RecordWay, type RowDraft, type VisitDraft } from './recordDraft.ts';
import { dueBefore } from './useVisitAccount.ts';
import { withCuts, withOverride } from './visitEdits.ts';
import { showVisitDialog } from './visitsStore.ts';
import { INSTRUMENT_NAMES, today } from './visitWords.ts';
import './recording.css';

const WAYS: readonly { readonly id: RecordWay; readonly label: string }[] = [
  { id: 'gauge', label: 'Gauge passes' },
  { id: 'feel', label: 'By feel' },
  { id: 'caliper', label: 'Caliper' },
];
const INSTRUMENTS = (Object.keys(INSTRUMENT_NAMES) as CuttingInstrument[]).map((id) => ({
  id,
  label: INSTRUMENT_NAMES[id],
}));

/** Drafts left without recording, by case, jaw and visit; for this session only. */
const drafts = new Map<string, VisitDraft>();

/** What was done in a visit, contact by contact; made for a tablet at the chair and for the keyboard. */
export function RecordDialog({ jaw, visit }: { jaw: Jaw; visit: number }) {
  const record = useStore((state) => state.caseDocument.arches[jaw]);
  const amounts = usePlannedAmounts(jaw);
  const known = useMemo(() => dueBefore(jaw, visit), [jaw, visit]);
  const standing = standingEntries(record?.visits ?? []);
  const ofVisit = standing.filter((entry) => entry.visit === visit);
  const caseId = useStore((state) => state.caseDocument.id);
  const draftKey = `${caseId}/${jaw}/${visit}`;
  const [draft, setDraft] = useState<VisitDraft>(
    () =>
      drafts.get(draftKey) ?? {
        visit,
        date: ofVisit[0]?.date ?? today(),
        way: 'gauge',
        instrument: ofVisit[0]?.instrument ?? standing.at(-1)?.instrument ?? 'strip',
        rows: {},
      },
  );
  useEffect(() => {
    drafts.set(draftKey, draft);
  }, [draftKey, draft]);
  const [all, setAll] = useState(false);
  const [reason, setReason] = useState('');
  const list = useRef<HTMLDivElement>(null);
  /** Left by Escape the draft waits; recorded or cancelled it is gone. */
  const leave = (): void => showVisitDialog(null);
  const close = (): void => {
    drafts.delete(draftKey);
    leave();
  };
  if (!record || !amounts || !known) return null;
  const { balance } = known.account;
  const contacts = amounts.request.contacts.map(({ teeth }) => teeth);
  const dueAt = (key: string): number => known.due.get(key) ?? 0;
  const shown = contacts.filter((teeth) => {
    const key = contactKey(teeth);
    return all || known.dueMm === 0 || dueAt(key) > 0 || ofVisit.some((e) => contactKey(e.teeth) === key);
  });
  const setRow = (key: string, change: Partial<RowDraft>): void =>
    setDraft((now) => ({
      ...now,
      rows: { ...now.rows, [key]: { ...EMPTY_ROW, ...now.rows[key], ...change } },
    }));
  const entries = entriesOf(draft, contacts, known.due, standing, new Date().toISOString());
  const isBlocked = balance.needed.valueMm <= 0 && balance.override === null;
  const isCutting = entries.some(
    (entry) =>
      entry.how.by !== 'not-cut' && (entry.how.by === 'gauge' ? entry.how.passesMm : entry.how.amountMm) > 0,
  );
  const needsReason = isBlocked && isCutting && reason.trim() === '';
  const canSave = entries.length > 0 && draft.date !== '' && !needsReason;
  const save = (): void => {
    if (!canSave) return;
    actions().editVisits(jaw, (before) => {
      const allowed =
        isBlocked && isCutting
          ? withOverride(before, {
              givenAt: new Date().toISOString(),
              reason: reason.trim(),
              followUps: (before.followUps ?? []).length,
              neededMm: balance.needed.valueMm,
              neededSdMm: balance.needed.sdMm,
            })
          : before;
      return withCuts(allowed, entries);
    });
    const corrected = entries.filter((entry) => entry.replaces !== null).length;
    const said = `Visit ${visit}: ${entries.length} ${entries.length === 1 ? 'contact' : 'contacts'} recorded${corrected > 0 ? `, ${corrected} of them corrections` : ''}`;
    // Said to be saved only once it is: a tab may be closed right after.
    keepVersion(`Visit ${visit} ${corrected === entries.length ? 'corrected' : 'recorded'}`).then(
      (kept) => actions().announce(kept ? `${said} and saved.` : `${said}.`),
      (error: unknown) => showRefusal(error, `Visit ${visit} is on the page but was not saved`),
    );
    close();
  };
  /** Enter goes to the next amount; with Ctrl it saves. */
  const keyDown = (event: KeyboardEvent): void => {
    if (event.key !== 'Enter' || !(event.target instanceof HTMLInputElement)) return;
    if (event.ctrlKey || event.metaKey) {
      event.preventDefault();
      event.target.blur(); // commits what is typed
      queueMicrotask(() =>
        list.current?.closest('.recording')?.querySelector<HTMLElement>('[data-save]')?.click(),
      );
      return;
    }
    if (!event.target.closest('.amount')) return;
    const inputs = [...(list.current?.querySelectorAll<HTMLInputElement>('.amount input') ?? [])].filter(
      (input) => input.type !== 'hidden',
    );
    inputs[inputs.indexOf(event.target) + 1]?.focus();
  };
  const fillPlanned = (): void => {
    for (const teeth of shown) {
      const key = contactKey(teeth);
      if (dueAt(key) > 0 && !ofVisit.some((e) => contactKey(e.teeth) === key))
        setRow(key, { amountMm: dueAt(key), notCut: false });
    }
  };
  return (
    <DialogSheet title={`Visit ${visit}, ${jaw} arch`} open onClose={leave} wide mustAnswer>
      <div className="recording" onKeyDownCapture={keyDown} ref={list}>
        <div className="recording__head">
          <DateInput
            label="Date"
            value={draft.date}
            onChange={(date) => setDraft((now) => ({ ...now, date }))}
          />
          <SelectField
            label="Instrument"
            choices={INSTRUMENTS}
            value={draft.instrument}
            onChange={(instrument) => setDraft((now) => ({ ...now, instrument }))}
          />
          <div className="field">
            <span className="field__label">Found by</span>
            <Segments
              label="Found by"
              choices={WAYS}
              value={draft.way}
              onChange={(way) => setDraft((now) => ({ ...now, way }))}
            />
          </div>
          {known.dueMm > 0 && (
            <TextButton onPress={fillPlanned}>All as planned, {mm(known.dueMm, 1)}&nbsp;mm</TextButton>
          )}
        </div>
        {isBlocked && (
          <div className="caution" role="note">
            <h3>No cutting in this arch</h3>
            <p>{balance.verdict.reasons[0]}</p>
            <TextInput
              label="A cut made in spite of it is recorded with its reason"
              value={reason}
              onChange={setReason}
            />
          </div>
        )}
        <div className="recording__rows">
          {shown.map((teeth) => {
            const key = contactKey(teeth);
            const at = contacts.findIndex((other) => contactKey(other) === key);
            return (
              <RecordRow
                key={key}
                teeth={teeth}
                dueMm={dueAt(key)}
                heldBackMm={known.heldBack.get(key) ?? 0}
                draft={draft.rows[key] ?? EMPTY_ROW}
                way={draft.way}
                standing={ofVisit.find((entry) => contactKey(entry.teeth) === key) ?? null}
                limitMm={balance.rest.request.contacts[at]?.limitMm ?? 0}
                surfacesMm={balance.rest.request.contacts[at]?.surfaceLimitsMm ?? [0, 0]}
                onChange={(change) => setRow(key, change)}
              />
            );
          })}
        </div>
        <div className="recording__foot">
          <SwitchField on={all || known.dueMm === 0} onChange={setAll}>
            all contacts
          </SwitchField>
          <p className="sheet__note">
            {draft.way === 'gauge' &&
              'The gauge that just passes; “stops” when the next one was tried and does not. '}
            SD: {sentence(WAY_SOURCES[draft.way].text)} ({STANDING_WORDS[WAY_SOURCES[draft.way].standing]}).
          </p>
        </div>
        <div className="dialog__actions">
          <span className="soft num recording__sum">
            {entries.length === 0
              ? 'Nothing entered yet'
              : `${entries.length} ${entries.length === 1 ? 'contact' : 'contacts'} entered`}
            {known.dueMm > 0 && `; planned for this visit: ${fixed(known.dueMm, 1)}\u00a0mm`}
          </span>
          <TextButton tone="plain" onPress={close}>
            Cancel
          </TextButton>
          <TextButton tone="strong" isDisabled={!canSave} onPress={save} data-save>
            Record
          </TextButton>
        </div>
      </div>
    </DialogSheet>
  );
}
