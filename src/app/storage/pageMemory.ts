/**
 * Small things this browser keeps of the page besides cases. Where storage is barred or full nothing is kept, and
 * nothing fails: what is read then is null.
 */
export function remembered(key: string): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
}

/** Keeps a text under a key, or forgets it (null); false where that was not possible. */
export function remember(key: string, text: string | null): boolean {
  try {
    if (text === null) localStorage.removeItem(key);
    else localStorage.setItem(key, text);
    return true;
  } catch {
    return false;
  }
}

const ASIDE = '.unreadable';

/** Puts a text that cannot be read out of the way, so that the next one is not written over it. */
export function keepAside(key: string): void {
  const text = remembered(key);
  if (text !== null && remember(key + ASIDE, text)) remember(key, null);
}
