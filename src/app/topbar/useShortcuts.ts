import { useEffect } from 'react';
import { tinykeys } from 'tinykeys';
import { saveCaseFile } from '../files/caseFiles.ts';
import { startReview } from '../proposal/reviewMarks.ts';
import { actions, redo, undo, useStore } from '../store.ts';
import { showDialog } from './dialogStore.ts';
import { chooseCase, chooseScan } from './fileChoosers.ts';

export interface Shortcut {
  readonly keys: string; // as tinykeys reads them
  readonly shown: string;
  readonly what: string;
  readonly run: () => void;
}

const undoStep = (step: () => void, word: string): void => {
  step();
  actions().announce(word);
};

/** Keys of the page; the marking keys belong to the scene. */
export const SHORTCUTS: readonly Shortcut[] = [
  { keys: '$mod+z', shown: 'Ctrl Z', what: 'Undo', run: () => undoStep(undo, 'Undone') },
  { keys: '$mod+Shift+z', shown: 'Ctrl Shift Z', what: 'Redo', run: () => undoStep(redo, 'Redone') },
  { keys: '$mod+y', shown: 'Ctrl Y', what: 'Redo', run: () => undoStep(redo, 'Redone') },
  { keys: '$mod+o', shown: 'Ctrl O', what: 'Open a scan', run: chooseScan },
  { keys: '$mod+Shift+o', shown: 'Ctrl Shift O', what: 'Open a case file', run: chooseCase },
  { keys: '$mod+s', shown: 'Ctrl S', what: 'Save the case as a file', run: saveCaseFile },
  {
    keys: '$mod+p',
    shown: 'Ctrl P',
    what: 'Print: plan, visit sheet, report',
    run: () => showDialog('print'),
  },
  {
    keys: 'Alt+u',
    shown: 'Alt U',
    what: 'Upper arch',
    run: () => actions().setActiveJaw('upper'),
  },
  {
    keys: 'Alt+l',
    shown: 'Alt L',
    what: 'Lower arch',
    run: () => actions().setActiveJaw('lower'),
  },
  {
    keys: 'Alt+d',
    shown: 'Alt D',
    what: 'Look at the doubtful proposals',
    run: () => startReview(useStore.getState().activeJaw),
  },
  { keys: 'F1', shown: 'F1', what: 'This list', run: () => showDialog('shortcuts') },
];

const isTyping = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement && (target.isContentEditable || /^(INPUT|TEXTAREA)$/.test(target.tagName));

/** Binds the page's shortcuts; undo inside a text field stays the field's own. */
export function useShortcuts(): void {
  useEffect(
    () =>
      tinykeys(
        window,
        Object.fromEntries(
          SHORTCUTS.map(({ keys, run }) => [
            keys,
            (event: KeyboardEvent) => {
              if (isTyping(event.target) && /z$|y$/.test(keys)) return;
              if (document.querySelector('[role="dialog"], [role="alertdialog"], .study') && keys !== 'F1')
                return;
              event.preventDefault();
              run();
            },
          ]),
        ),
      ),
    [],
  );
}
