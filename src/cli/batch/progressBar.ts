const WIDTH = 32;

/** A bar on stderr that redraws in place; silent where stderr is no terminal. */
export function progressBar(total: number) {
  const isWatched = process.stderr.isTTY === true;
  const counts = { measured: 0, kept: 0, refused: 0, failed: 0 };
  const started = performance.now();
  const draw = (): void => {
    if (!isWatched) return;
    const done = counts.measured + counts.kept + counts.refused + counts.failed;
    const filled = Math.round((WIDTH * done) / Math.max(1, total));
    const fresh = done - counts.kept;
    const leftS = fresh > 0 ? ((performance.now() - started) / 1000 / fresh) * (total - done) : null;
    const words = [
      `${done}/${total}`,
      counts.kept > 0 && `${counts.kept} kept`,
      counts.refused > 0 && `${counts.refused} refused`,
      counts.failed > 0 && `${counts.failed} failed`,
      leftS !== null &&
        done < total &&
        `about ${leftS < 90 ? `${Math.ceil(leftS)} s` : `${Math.ceil(leftS / 60)} min`} left`,
    ].filter(Boolean);
    process.stderr.write(`\r\x1b[K${'█'.repeat(filled)}${'░'.repeat(WIDTH - filled)} ${words.join(', ')}`);
  };
  draw();
  return {
    counts: counts as Readonly<typeof counts>,
    add: (what: keyof typeof counts): void => {
      counts[what]++;
      draw();
    },
    end: (): void => {
      if (isWatched) process.stderr.write('\n');
    },
  };
}
