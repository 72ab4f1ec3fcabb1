import { useStore } from './store.ts';

/** Says results to assistive technology; the same text twice is said twice. */
export function LiveRegion() {
  const { text, count } = useStore((state) => state.ui.announcement);
  return (
    <div className="visually-hidden" role="status" aria-live="polite">
      {text && <span key={count}>{text}</span>}
    </div>
  );
}
