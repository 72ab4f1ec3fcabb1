import type { ReactNode } from 'react';
import { Group } from 'react-aria-components';
import type { Jaw } from '../../core/base/tooth.ts';
import { DialogSheet, TextButton } from '../design/controls.tsx';
import { bytes, jawName } from '../format.ts';
import { useStore } from '../store.ts';
import { setFiles, useFiles } from './fileStore.ts';
import { openScanFile, untilStarted } from './openScan.ts';
import { replaceCaseWithEmpty } from './session.ts';

const JAWS: readonly Jaw[] = ['upper', 'lower'];

/**
 * Which jaw a scan is of, and where one is open already, whether it begins a case or joins the one at hand: both
 * asked with one press, neither guessed nor set beforehand.
 */
export function JawDialog() {
  const waiting = useFiles((state) => state.waiting);
  const title = useStore((state) => state.caseDocument.title);
  const upperFile = useStore((state) => state.caseDocument.arches.upper?.scan.file ?? null);
  const lowerFile = useStore((state) => state.caseDocument.arches.lower?.scan.file ?? null);
  const isJoining = upperFile !== null || lowerFile !== null;
  const close = (): void => setFiles({ waiting: null });
  const choose = (jaw: Jaw, apart: boolean): void => {
    if (!waiting) return;
    const { file } = waiting;
    close();
    void untilStarted().then(() =>
      openScanFile(
        { name: file.name, blob: file },
        jaw,
        'mm',
        true,
        apart ? replaceCaseWithEmpty : async () => true,
      ),
    );
  };
  return (
    <DialogSheet title="Which arch is this?" open={waiting !== null} onClose={close}>
      <div>
        <p>
          <b>{waiting?.file.name}</b> <span className="soft">{waiting && bytes(waiting.file.size)}</span>
        </p>
        <p className="soft">A scan file does not say which jaw it shows, and this program does not guess.</p>
      </div>
      {isJoining && (
        <>
          <JawChoice head="Begin a new case" where="in a new case" choose={(jaw) => choose(jaw, true)}>
            Another patient. The case at hand is kept in this browser.
          </JawChoice>
          <JawChoice
            head={title ? `Add to the case at hand, “${title}”` : 'Add to the case at hand'}
            where="in this case"
            choose={(jaw) => choose(jaw, false)}
          >
            The same patient.{' '}
            {JAWS.map((jaw) => {
              const file = jaw === 'upper' ? upperFile : lowerFile;
              return (
                file && `It takes the place of ${file} and its marks as ${jaw} arch; undo brings them back. `
              );
            })}
          </JawChoice>
        </>
      )}
      <div className="dialog__actions">
        <TextButton tone="plain" onPress={close}>
          Cancel
        </TextButton>
        {!isJoining &&
          JAWS.map((jaw) => (
            <TextButton key={jaw} tone="strong" onPress={() => choose(jaw, false)}>
              {jawName(jaw)}
            </TextButton>
          ))}
      </div>
    </DialogSheet>
  );
}

function JawChoice({
  head,
  where,
  choose,
  children,
}: {
  head: string;
  where: string;
  choose: (jaw: Jaw) => void;
  children: ReactNode;
}) {
  return (
    <Group className="choose-case" aria-label={head}>
      <div>
        <h3 className="choose-case__head">{head}</h3>
        <p className="soft">{children}</p>
      </div>
      <span className="choose-case__jaws">
        {JAWS.map((jaw) => (
          <TextButton
            key={jaw}
            tone="strong"
            aria-label={`${jawName(jaw)}, ${where}`}
            onPress={() => choose(jaw)}
          >
            {jawName(jaw)}
          </TextButton>
        ))}
      </span>
    </Group>
  );
}
