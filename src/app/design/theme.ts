import { useEffect, useSyncExternalStore } from 'react';
import { remember, remembered } from '../storage/pageMemory.ts';
import { actions, type UiState, useStore } from '../store.ts';

const STORAGE_KEY = 'archledger.theme';
const DARK = '(prefers-color-scheme: dark)';

const watchSystem = (changed: () => void): (() => void) => {
  const query = matchMedia(DARK);
  query.addEventListener('change', changed);
  return () => query.removeEventListener('change', changed);
};

/** The theme in force: the user's choice, or the system's. */
export function useResolvedTheme(): 'light' | 'dark' {
  const chosen = useStore((state) => state.ui.theme);
  const systemDark = useSyncExternalStore(watchSystem, () => matchMedia(DARK).matches);
  if (chosen !== 'system') return chosen;
  return systemDark ? 'dark' : 'light';
}

/** Keeps the page's theme attribute and the remembered choice in step with the store. */
export function useThemeOnPage(): void {
  const resolved = useResolvedTheme();
  const chosen = useStore((state) => state.ui.theme);
  useEffect(() => {
    document.documentElement.dataset.theme = resolved;
  }, [resolved]);
  useEffect(() => {
    const theme = remembered(STORAGE_KEY);
    if (theme === 'light' || theme === 'dark') actions().setUi({ theme });
  }, []);
  useEffect(() => {
    if (chosen === 'system') return;
    remember(STORAGE_KEY, chosen);
  }, [chosen]);
}

export const chooseTheme = (theme: UiState['theme']): void => {
  if (theme === 'system') remember(STORAGE_KEY, null);
  actions().setUi({ theme });
};
