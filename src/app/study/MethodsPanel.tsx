import { TextButton } from '../design/controls.tsx';
import { download, fileStem } from '../files/caseFiles.ts';
import { actions } from '../store.ts';
import { methodsText } from './methodsText.ts';
import type { StudyResult } from './studyData.ts';
import { useStudy } from './studyStore.ts';

/** A methods paragraph to take along. */
export function MethodsPanel({ result }: { result: StudyResult }) {
  const conventions = useStudy((state) => state.conventions);
  const acceptance = useStudy((state) => state.acceptance);
  const text = methodsText(result, conventions, acceptance);
  const copy = async (): Promise<void> => {
    try {
      await navigator.clipboard.writeText(text);
      actions().announce('Paragraph copied.');
    } catch {
      actions().announce('The browser did not let it be copied; select the text instead.');
    }
  };
  const save = (): void => {
    download(`${fileStem()}-study-methods.txt`, `${text}\n`, 'text/plain;charset=utf-8');
    actions().announce('Methods saved as text.');
  };
  return (
    <section className="study__part" aria-labelledby="study-methods">
      <header className="study__parthead">
        <h2 id="study-methods">Methods</h2>
        <TextButton small aria-label="Copy the methods" onPress={() => void copy()}>
          Copy
        </TextButton>
        <TextButton small onPress={save}>
          Save as text
        </TextButton>
      </header>
      <p className="study__methods">{text}</p>
    </section>
  );
}
