import type { ReactNode } from 'react';
import { DialogSheet, TextButton } from '../design/controls.tsx';
import { showDialog } from '../topbar/dialogStore.ts';

/** A result over the page: points, one sentence, and what it is made of. */
export function Score({
  title,
  points,
  saying,
  onClose,
  children,
}: {
  title: string;
  points: number;
  saying: string;
  onClose: () => void;
  children: ReactNode;
}) {
  return (
    <DialogSheet title={title} open onClose={onClose} wide>
      <div className="score">
        <p className="score__points">
          <b className="num">{Math.round(points)}</b> of 100
        </p>
        <p>{saying}</p>
      </div>
      {children}
      <div className="dialog__actions">
        <TextButton
          tone="plain"
          onPress={() => {
            onClose();
            showDialog('lessons');
          }}
        >
          All lessons…
        </TextButton>
        <TextButton tone="strong" onPress={onClose}>
          Back to the arch
        </TextButton>
      </div>
    </DialogSheet>
  );
}

/** Head of a table that lays the student's figures beside others. */
export function BesideYours({ what }: { what: string }) {
  return (
    <thead>
      <tr>
        <th scope="col">
          <span className="visually-hidden">what</span>
        </th>
        <th scope="col">yours</th>
        <th scope="col">{what}</th>
      </tr>
    </thead>
  );
}
