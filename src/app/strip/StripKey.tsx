import type { ReactNode } from 'react';

const Swatch = ({ children }: { children: ReactNode }) => (
  <svg width="26" height="16" viewBox="0 0 26 16" aria-hidden="true">
    {children}
  </svg>
);

/** What the strokes and fills of the strip mean. */
export function StripKey() {
  return (
    <div className="strip__key">
      <Swatch>
        <rect className="strip__block strip__block_confirmed" x="1" y="1" width="24" height="14" rx="2" />
      </Swatch>
      <span>both marks confirmed</span>
      <Swatch>
        <rect className="strip__block strip__block_proposed" x="1" y="1" width="24" height="14" rx="2" />
      </Swatch>
      <span>a mark is only proposed</span>
      <Swatch>
        <rect className="strip__block strip__block_entered" x="1" y="1" width="24" height="14" rx="2" />
      </Swatch>
      <span>width entered by you</span>
      <Swatch>
        <rect className="strip__block strip__block_unmeasured" x="1" y="1" width="24" height="14" rx="2" />
      </Swatch>
      <span>not measured: not to scale</span>
      <Swatch>
        <rect className="strip__rung strip__rung_taken" x="6" y="5" width="14" height="6" />
      </Swatch>
      <span>a tenth planned and committed</span>
      <Swatch>
        <rect className="strip__rung strip__rung_held" x="6" y="5" width="14" height="6" />
      </Swatch>
      <span>a tenth held back until a re-measurement</span>
      <Swatch>
        <rect className="strip__rung" x="6" y="5" width="14" height="6" />
      </Swatch>
      <span>free up to the limit</span>
      <Swatch>
        <rect className="strip__rung strip__rung_wished" x="6" y="5" width="14" height="6" />
      </Swatch>
      <span>a tenth of your own above a limit; without a reason it does not count</span>
      <Swatch>
        <path className="strip__exact" d="M2 8h5M19 8h5" />
      </Swatch>
      <span>the plan’s amount, where yours differs</span>
      <Swatch>
        <g className="strip__lock" transform="translate(13 3)">
          <path d="M-3.5 4v-2a3.5 3.5 0 0 1 7 0v2M-5 4h10v7h-10z" />
        </g>
      </Swatch>
      <span>locked: nothing is taken here</span>
      <Swatch>
        <path className="strip__end" d="M13 0V16" />
      </Swatch>
      <span>ends of the arch line, at the first molars</span>
      <Swatch>
        <path className="strip__offset" d="M8 3L18 13" />
        <circle className="strip__dot" cx="8" cy="3" r="2" />
        <circle className="strip__dot" cx="18" cy="13" r="2" />
      </Swatch>
      <span>displacement between two contact points, to scale</span>
      <p className="strip__key-keys">
        Try your own amounts: on a contact <kbd>↑</kbd> or <kbd>+</kbd> takes a tenth more, <kbd>↓</kbd> or{' '}
        <kbd>−</kbd> a tenth less; of a selected contact the blocks answer to the pointer.
      </p>
    </div>
  );
}
