import { TextButton } from '../design/controls.tsx';
import { VersionNotice } from '../offline/VersionNotice.tsx';
import { chooseFile } from '../topbar/fileChoosers.ts';
import { saveCaseFile } from './caseFiles.ts';
import { setFiles, useFiles } from './fileStore.ts';
import { SCAN_TYPES } from './scanTypes.ts';
import { attachScansAgain, saveAgain, supplyScan } from './session.ts';

const readable = (message: string): string => message.replace(/^[\w.#]+: /, '');

/** What must not be overlooked: a failed save, a scan that is not at hand, a doubtful frame. */
export function Notices() {
  const saving = useFiles((state) => state.saving);
  const missing = useFiles((state) => state.missingScans);
  const remarks = useFiles((state) => state.frameRemarks);
  const found = useFiles((state) => state.remarks);
  const fault = useFiles((state) => state.fault);
  const stale = saving?.kind === 'failed' && saving.refusal.detail.reason === 'stale';
  return (
    <div className="notices">
      {saving?.kind === 'failed' && (
        <div className="notice" role="alert">
          <p>
            <b>Not saved in this browser.</b> {readable(saving.refusal.message)} Your work is still on this
            page: save it as a case file.
          </p>
          <TextButton small onPress={() => void saveAgain(stale)}>
            {stale ? 'Save mine over it' : 'Try again'}
          </TextButton>
        </div>
      )}
      {fault !== null && (
        <div className="notice" role="alert">
          <p>
            <b>A fault of this program:</b> “{fault}”. What is said to be saved is saved, and the case was not
            touched by it. Where something no longer answers, save the case as a file and load the page again.
          </p>
          <TextButton small onPress={saveCaseFile}>
            Save as case file
          </TextButton>
          <TextButton small tone="plain" onPress={() => setFiles({ fault: null })}>
            Close
          </TextButton>
        </div>
      )}
      {found.length > 0 && (
        <div className="notice" role="alert">
          <p>{found.join(' ')}</p>
          <TextButton small onPress={() => setFiles({ remarks: [] })}>
            Close
          </TextButton>
        </div>
      )}
      <VersionNotice />
      {missing.map(({ jaw, file, isKept }) => (
        <div className="notice" role="alert" key={jaw}>
          <p>
            <b>The {jaw} scan is not at hand.</b> The case was made on {file}. The numbers stand; to see or
            move marks {isKept ? 'try once more, or choose that file again.' : 'choose that file again.'}
          </p>
          {isKept && (
            <TextButton small onPress={() => void attachScansAgain()}>
              Try again
            </TextButton>
          )}
          <TextButton small onPress={() => chooseFile(SCAN_TYPES, (chosen) => void supplyScan(chosen, jaw))}>
            Choose {file}…
          </TextButton>
        </div>
      ))}
      {remarks.length > 0 && (
        <div className="notice" role="alert">
          <p>{remarks.join(' ')}</p>
          <TextButton small onPress={() => setFiles({ frameRemarks: [] })}>
            I have looked
          </TextButton>
        </div>
      )}
    </div>
  );
}
