import { useEffect, useState } from 'react';
import { takeFiles } from './caseFiles.ts';

/** Files dropped anywhere on the page; true while some hover over it. */
export function useDropAnywhere(): boolean {
  const [dropping, setDropping] = useState(false);
  useEffect(() => {
    let depth = 0;
    const carriesFiles = (event: DragEvent): boolean => event.dataTransfer?.types.includes('Files') ?? false;
    const enter = (event: DragEvent): void => {
      if (!carriesFiles(event)) return;
      depth++;
      setDropping(true);
    };
    const leave = (event: DragEvent): void => {
      if (!carriesFiles(event)) return;
      depth = Math.max(0, depth - 1);
      if (depth === 0) setDropping(false);
    };
    const over = (event: DragEvent): void => {
      if (carriesFiles(event)) event.preventDefault();
    };
    const drop = (event: DragEvent): void => {
      if (!carriesFiles(event)) return;
      event.preventDefault();
      depth = 0;
      setDropping(false);
      takeFiles([...(event.dataTransfer?.files ?? [])]);
    };
    addEventListener('dragenter', enter);
    addEventListener('dragleave', leave);
    addEventListener('dragover', over);
    addEventListener('drop', drop);
    return () => {
      removeEventListener('dragenter', enter);
      removeEventListener('dragleave', leave);
      removeEventListener('dragover', over);
      removeEventListener('drop', drop);
    };
  }, []);
  return dropping;
}
