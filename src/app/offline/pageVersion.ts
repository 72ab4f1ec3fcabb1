import { create } from 'zustand';
import { saveNow } from '../files/session.ts';

/**
 * Whether another version of the page waits. 'ready': fetched and kept back until the user says so; 'taken elsewhere':
 * another tab has put it in place, and parts this page has not loaded yet may be gone; 'unsaved': the user wanted it,
 * but the work at hand could not be saved.
 */
export type PageVersion = 'current' | 'ready' | 'taken-elsewhere' | 'unsaved';

export const usePageVersion = create<{ readonly version: PageVersion }>()(() => ({ version: 'current' }));

const setVersion = (version: PageVersion): void => usePageVersion.setState({ version });

const PAGE_LOCK = 'archledger.page';
const LONGEST_WAIT_MS = 2000;

const workers = (): ServiceWorkerContainer | null =>
  import.meta.env.PROD && 'serviceWorker' in navigator ? navigator.serviceWorker : null;

/** How many tabs show this page, this one too; each holds a shared lock as long as it lives. */
async function tabCount(): Promise<number> {
  if (!('locks' in navigator)) return Number.POSITIVE_INFINITY;
  await new Promise<void>((held) => {
    void navigator.locks.request(PAGE_LOCK, { mode: 'shared' }, () => {
      held();
      return new Promise<never>(() => {}); // until the page goes
    });
  });
  const { held = [] } = await navigator.locks.query();
  return held.filter(({ name }) => name === PAGE_LOCK).length;
}

/** Lets the version that waits take over; true once it has. */
function takeOver(container: ServiceWorkerContainer, waiting: ServiceWorker): Promise<boolean> {
  return new Promise((resolve) => {
    const timer = setTimeout(() => resolve(false), LONGEST_WAIT_MS);
    container.addEventListener(
      'controllerchange',
      () => {
        clearTimeout(timer);
        resolve(true);
      },
      { once: true },
    );
    waiting.postMessage({ type: 'SKIP_WAITING' });
  });
}

/**
 * At the very start, before there is anything to lose: a version fetched on an earlier visit takes over, unless another
 * tab is at work with the old one. True when the page is being loaded anew.
 */
export async function takeWaitingVersion(): Promise<boolean> {
  const container = workers();
  if (!container) return false;
  const [registration, tabs] = await Promise.all([container.getRegistration(), tabCount()]);
  const waiting = registration?.waiting;
  if (!waiting || !container.controller || tabs > 1) return false;
  if (!(await takeOver(container, waiting))) return false;
  location.reload();
  return true;
}

let isTaking = false;

/** Keeps the page for use without network, and watches for newer versions of it. */
export async function keepForOffline(): Promise<void> {
  const container = workers();
  if (!container) return;
  let hadVersion = container.controller !== null;
  container.addEventListener('controllerchange', () => {
    if (hadVersion && !isTaking) setVersion('taken-elsewhere');
    hadVersion = true;
  });
  try {
    const registration: ServiceWorkerRegistration | undefined = await container.register('./sw.js', {
      updateViaCache: 'none',
    });
    if (!registration) return;
    const watch = (worker: ServiceWorker | null): void =>
      worker?.addEventListener('statechange', () => {
        if (worker.state === 'installed' && registration.active) setVersion('ready');
      });
    if (registration.waiting) setVersion('ready');
    watch(registration.installing);
    registration.addEventListener('updatefound', () => watch(registration.installing));
  } catch (error) {
    // Not served securely, or storage is barred: the page works as before, with network.
    console.warn('The page is not kept for use without network:', error);
  }
}

/** Saves the work at hand, then loads the newer version; where saving fails nothing is loaded. */
export async function takeNewVersion(): Promise<void> {
  if (!(await saveNow())) {
    setVersion('unsaved');
    return;
  }
  const container = workers();
  const waiting = (await container?.getRegistration())?.waiting;
  isTaking = true;
  if (container && waiting) await takeOver(container, waiting);
  location.reload();
}
