import { type ReactNode, useState } from 'react';

/** A part that opens under its name; what is in it is made only while it is open. */
export function Opens({ name, children }: { name: ReactNode; children: ReactNode }) {
  const [open, setOpen] = useState(false);
  return (
    <details className="opens" open={open} onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{name}</summary>
      {open && children}
    </details>
  );
}
