import { useEffect, useState } from 'react';
import { TextButton } from '../design/controls.tsx';
import { showRefusal } from '../files/openScan.ts';
import { keepVersion, keptVersions } from '../files/session.ts';
import { dayAndTime } from '../format.ts';
import { actions, useStore } from '../store.ts';

const LABEL = 'Plan agreed';

const latest = async (): Promise<string | null> =>
  (await keptVersions()).find(({ label }) => label === LABEL)?.keptAt ?? null;

/** Keeps the case as the plan agreed on, and shows when that was done last. */
export function KeepAsAgreed() {
  const id = useStore((state) => state.caseDocument.id);
  const [keptAt, setKeptAt] = useState<string | null>(null);
  const [isSame, setSame] = useState(false);
  useEffect(() => {
    let wanted = true;
    setKeptAt(null);
    setSame(false);
    latest().then(
      (at) => id && wanted && setKeptAt(at),
      () => {}, // what cannot be listed is said where versions are looked at
    );
    return () => {
      wanted = false;
    };
  }, [id]);
  const keep = async (): Promise<void> => {
    try {
      const kept = await keepVersion(LABEL);
      setSame(!kept);
      setKeptAt(kept?.keptAt ?? (await latest()));
      actions().announce(kept ? 'Plan kept as agreed.' : 'This state is already kept.');
    } catch (error) {
      showRefusal(error, 'The plan was not kept');
    }
  };
  return (
    <span className="timeline__actions">
      <TextButton small onPress={() => void keep()}>
        {keptAt ? 'Keep as agreed again' : 'Keep as agreed'}
      </TextButton>
      {keptAt && (
        <span className="timeline__kept num">
          <span aria-hidden="true">✓ </span>
          Kept as agreed {dayAndTime(new Date(keptAt))}
          {isSame && '; nothing changed since'}
        </span>
      )}
    </span>
  );
}
