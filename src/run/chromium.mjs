import { spawnSync } from 'node:child_process';
import { accessSync, constants } from 'node:fs';
import { delimiter, join } from 'node:path';

const NAMES = ['chromium', 'chromium-browser', 'google-chrome-stable', 'google-chrome'];

function runnable(path) {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

/** Path of a Chromium on this machine, or null. */
function findChromium() {
  if (runnable('/usr/bin/chromium')) return '/usr/bin/chromium';
  const folders = (process.env.PATH ?? '').split(delimiter).filter(Boolean);
  for (const name of NAMES) {
    const found = folders.map((folder) => join(folder, name)).find(runnable);
    if (found) return found;
  }
  return null;
}

/** A Chromium for the browser tests, installed from the system's packages where there is none; null when impossible. */
export function chromiumForTests() {
  const found = findChromium();
  if (found) return found;
  if (process.platform !== 'linux' || !NAMES_OF_APT.some((path) => runnable(path))) return null;
  const isRoot = process.getuid?.() === 0;
  if (!isRoot && spawnSync('sudo', ['-n', 'true'], { stdio: 'ignore' }).status !== 0) return null;
  const [command, ...first] = isRoot ? ['apt-get'] : ['sudo', '-n', 'apt-get'];
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
  const apt = (...words) =>
    spawnSync(command, [...first, '-q', ...words], { stdio: ['ignore', 'ignore', 2], env }).status === 0;
  console.error('Installing Chromium for the browser tests …');
  apt('update');
  apt('install', '-y', '--no-install-recommends', 'chromium');
  return findChromium();
}

const NAMES_OF_APT = ['/usr/bin/apt-get', '/bin/apt-get'];
