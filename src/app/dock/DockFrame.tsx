import type { ReactNode } from 'react';
import { IconButton } from '../design/controls.tsx';
import { CloseIcon } from '../design/icons.tsx';
import { actions } from '../store.ts';
import './Dock.css';

/** The panel of whatever is selected, under the account. */
export function DockFrame({ title, sub, children }: { title: string; sub: string; children: ReactNode }) {
  return (
    <section className="dock" aria-label={title}>
      <header className="dock__head">
        <h2 className="dock__title">{title}</h2>
        <span className="dock__sub">{sub}</span>
        <IconButton
          small
          label="Close"
          onPress={() => actions().setUi({ selectedContact: null, selectedTooth: null, selectedSite: null })}
        >
          <CloseIcon />
        </IconButton>
      </header>
      <div className="dock__body">{children}</div>
    </section>
  );
}
