import { useEffect } from 'react';
import { create } from 'zustand';

const useHidden = create<{ readonly why: string | null }>()(() => ({ why: null }));

/** Keeps every figure beside and below the arch out of sight while `why` says why; null shows them. */
export function useHideFigures(why: string | null): void {
  useEffect(() => {
    if (why === null) return;
    useHidden.setState({ why });
    document.documentElement.toggleAttribute('data-figures-hidden', true);
    return () => {
      useHidden.setState({ why: null });
      document.documentElement.removeAttribute('data-figures-hidden');
    };
  }, [why]);
}

/** In place of the figures: why they are out of sight. */
export function HiddenFiguresNote() {
  const why = useHidden((state) => state.why);
  return why === null ? null : (
    <div className="empty empty_small figures-hidden">
      <h3>Figures are out of sight</h3>
      <p>{why}</p>
    </div>
  );
}
