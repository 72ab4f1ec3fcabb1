/** All numbers of the page follow a write: the next one waits for a multiple of what the last one took. */
const LEAST_WAIT_MS = 50;
const REST = 3;

/** Writes the latest of many values as often as the page can follow. `flush` writes what is left at once. */
export function pacedWriter<T>(write: (value: T) => void): {
  readonly put: (value: T) => void;
  readonly flush: () => void;
} {
  let waiting: { readonly value: T } | null = null;
  let timer: ReturnType<typeof setTimeout> | null = null;
  let nextMs = 0;

  function flush(): void {
    if (timer) clearTimeout(timer);
    timer = null;
    if (!waiting) return;
    const { value } = waiting;
    waiting = null;
    const startMs = performance.now();
    nextMs = startMs + LEAST_WAIT_MS;
    write(value);
    // React answers in the microtasks of this task; a later task sees what it all took.
    setTimeout(() => {
      const nowMs = performance.now();
      nextMs = nowMs + Math.max(LEAST_WAIT_MS, REST * (nowMs - startMs));
    }, 0);
  }

  return {
    put: (value) => {
      waiting = { value };
      if (!timer) timer = setTimeout(flush, Math.max(0, nextMs - performance.now()));
    },
    flush,
  };
}
