import { useEffect, useState } from 'react';
import { flushSync } from 'react-dom';

/** True from just before printing until after it: the sheets are built only then. */
export function usePrinting(): boolean {
  const [printing, setPrinting] = useState(false);
  useEffect(() => {
    const media = matchMedia('print');
    const change = (): void => setPrinting(media.matches);
    // The browser lays out the paper right after this event, so the sheets must be there when it returns.
    const before = (): void => flushSync(() => setPrinting(true));
    const after = (): void => setPrinting(media.matches);
    change();
    media.addEventListener('change', change);
    addEventListener('beforeprint', before);
    addEventListener('afterprint', after);
    return () => {
      media.removeEventListener('change', change);
      removeEventListener('beforeprint', before);
      removeEventListener('afterprint', after);
    };
  }, []);
  return printing;
}
