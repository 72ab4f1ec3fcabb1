import { TextButton } from '../design/controls.tsx';
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
  return (
    <section className="study__part" aria-labelledby="study-methods">
      <header className="study__parthead">
        <h2 id="study-methods">Methods</h2>
        <TextButton small onPress={() => void copy()}>
          Copy
        </TextButton>
      </header>
      <p className="study__methods">{text}</p>
    </section>
  );
}
