import { TextButton } from '../design/controls.tsx';
import { saveCaseFile } from '../files/caseFiles.ts';
import { takeNewVersion, usePageVersion } from './pageVersion.ts';

/** Offers a newer version of the page; nothing is loaded before the user says so. */
export function VersionNotice() {
  const version = usePageVersion((state) => state.version);
  if (version === 'current') return null;
  if (version === 'unsaved')
    return (
      <div className="notice" role="alert">
        <p>
          <b>The newer version was not loaded.</b> Your last changes could not be saved in this browser, and
          loading it would lose them. Save the case as a file, then try again or close this tab.
        </p>
        <TextButton small onPress={saveCaseFile}>
          Save as case file
        </TextButton>
        <TextButton small onPress={() => void takeNewVersion()}>
          Try again
        </TextButton>
      </div>
    );
  return (
    <div className="notice" role="status">
      <p>
        {version === 'ready' ? (
          <b>A newer version of Archledger is ready.</b>
        ) : (
          <b>Another tab has loaded a newer version of Archledger.</b>
        )}{' '}
        Your work is saved before it is loaded here; what can be undone now cannot be afterwards.
      </p>
      <TextButton small onPress={() => void takeNewVersion()}>
        Save and load it
      </TextButton>
      <TextButton small tone="plain" onPress={() => usePageVersion.setState({ version: 'current' })}>
        Later
      </TextButton>
    </div>
  );
}
