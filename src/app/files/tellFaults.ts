import { setFiles } from './fileStore.ts';

/** Says of a fault that nothing else told: a promise nobody waited for, an error in a listener. */
export function tellFaults(): void {
  const tell = (error: unknown): void => {
    if (error instanceof Error) setFiles({ fault: error.message });
  };
  addEventListener('unhandledrejection', ({ reason }) => tell(reason));
  addEventListener('error', ({ error }) => tell(error));
}
