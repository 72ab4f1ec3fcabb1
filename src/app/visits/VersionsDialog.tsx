import { useCallback, useEffect, useState } from 'react';
import type { CaseDocument } from '../../core/casefile/CaseDocument.ts';
import { type CaseChange, caseChanges } from '../../core/casefile/caseChanges.ts';
import { DialogSheet, SelectField, TextButton, TextInput } from '../design/controls.tsx';
import { showRefusal } from '../files/openScan.ts';
import { keepVersion, keptVersion, keptVersions } from '../files/session.ts';
import { dayAndTime } from '../format.ts';
import type { CaseVersion } from '../storage/caseStore.ts';
import { actions, useStore } from '../store.ts';
import { showVisitDialog } from './visitsStore.ts';

const NOW = 'now';

/** Dated steps of the case: what changed between two of them, and one brought back as a new state. */
export function VersionsDialog() {
  const atHand = useStore((state) => state.caseDocument);
  const [versions, setVersions] = useState<readonly CaseVersion[]>([]);
  const [from, setFrom] = useState<string | null>(null);
  const [to, setTo] = useState<string>(NOW);
  const [changes, setChanges] = useState<readonly CaseChange[] | null>(null);
  const [label, setLabel] = useState('');
  const close = (): void => showVisitDialog(null);
  const failed = useCallback(
    (error: unknown): void => showRefusal(error, 'The versions could not be read'),
    [],
  );
  const refresh = useCallback((): void => {
    keptVersions().then((found) => {
      setVersions(found);
      setFrom((now) => now ?? (found[0] ? String(found[0].number) : null));
    }, failed);
  }, [failed]);
  useEffect(refresh, [refresh]);
  useEffect(() => {
    if (from === null) return;
    let isLast = true;
    const read = async (which: string): Promise<CaseDocument | null> =>
      which === NOW ? atHand : await keptVersion(Number(which));
    Promise.all([read(from), read(to)]).then(([before, after]) => {
      if (isLast && before && after) setChanges(caseChanges(before, after));
    }, failed);
    return () => {
      isLast = false;
    };
  }, [from, to, atHand, failed]);
  const choices = versions.map((version) => ({
    id: String(version.number),
    label: `${version.number}. ${version.label}`,
    note: dayAndTime(new Date(version.keptAt)),
  }));
  return (
    <DialogSheet title="Versions of this case" open onClose={close} wide>
      <p className="soft">
        A version is kept when a plan is agreed, a visit recorded or a follow-up scan measured, and whenever
        you say so. Versions lie beside the case in this browser; a case file holds the case as it stands,
        with every visit and correction, and no versions.
      </p>
      <div className="versions__keep">
        <TextInput
          label="Keep the case as it stands, as"
          value={label}
          onChange={setLabel}
          placeholder="Version"
        />
        <TextButton
          onPress={() => {
            keepVersion(label.trim() || 'Version').then((kept) => {
              actions().announce(kept ? `Version ${kept.number} kept.` : 'This state is already kept.');
              setLabel('');
              refresh();
            }, failed);
          }}
        >
          Keep
        </TextButton>
      </div>
      {versions.length === 0 ? (
        <p>None yet.</p>
      ) : (
        <>
          <div className="versions__pair">
            <SelectField label="What changed from" choices={choices} value={from} onChange={setFrom} />
            <SelectField
              label="to"
              choices={[{ id: NOW, label: 'The case as it stands' }, ...choices]}
              value={to}
              onChange={setTo}
            />
            <TextButton
              isDisabled={from === null}
              onPress={() => {
                if (from === null) return;
                keptVersion(Number(from)).then((document) => {
                  if (!document) return;
                  actions().restoreCase(document);
                  actions().announce(`Version ${from} brought back; undo returns to what was there.`);
                  close();
                }, failed);
              }}
            >
              Bring back {from === null ? '' : `version ${from}`}
            </TextButton>
          </div>
          {changes && <ChangesTable changes={changes} />}
        </>
      )}
      <div className="dialog__actions">
        <TextButton tone="strong" onPress={close}>
          Close
        </TextButton>
      </div>
    </DialogSheet>
  );
}

function ChangesTable({ changes }: { changes: readonly CaseChange[] }) {
  if (changes.length === 0) return <p>Nothing changed between the two.</p>;
  return (
    <div className="versions__changes">
      <table className="grid">
        <thead>
          <tr>
            <th scope="col">What</th>
            <th scope="col">arch</th>
            <th scope="col">before</th>
            <th scope="col">after</th>
          </tr>
        </thead>
        <tbody>
          {changes.map((change) => (
            <tr key={`${change.jaw}-${change.what}`}>
              <th scope="row">{change.what}</th>
              <td className="grid__text">{change.jaw ?? ''}</td>
              <td className="grid__text">{change.before ?? '–'}</td>
              <td className="grid__text">{change.after ?? '–'}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
