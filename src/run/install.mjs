import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const ROOT = join(dirname(fileURLToPath(import.meta.url)), '..', '..');

/** Ends the program with one clear line when Node is older than package.json asks for. */
export function requireNode() {
  const needed = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')).engines.node.replace(/^>=/, '');
  const older = (got, need) => {
    for (const [i, part] of need.entries()) {
      if ((got[i] ?? 0) !== part) return (got[i] ?? 0) < part;
    }
    return false;
  };
  const numbers = (text) => text.split('.').map(Number);
  if (!older(numbers(process.versions.node), numbers(needed))) return;
  console.error(`Archledger needs Node ${needed} or newer; this is ${process.versions.node}.`);
  process.exit(1);
}

/** True when node_modules holds every package of the lock file at its version; optional ones may be absent. */
function isInstalled() {
  const record = join(ROOT, 'node_modules', '.package-lock.json');
  if (!existsSync(record)) return false;
  try {
    const wanted = JSON.parse(readFileSync(join(ROOT, 'package-lock.json'), 'utf8')).packages;
    const present = JSON.parse(readFileSync(record, 'utf8')).packages;
    return Object.entries(wanted).every(
      ([path, entry]) =>
        path === '' ||
        (present[path]?.version === entry.version && existsSync(join(ROOT, path, 'package.json'))) ||
        (present[path] === undefined && Boolean(entry.optional || entry.devOptional || entry.peer)),
    );
  } catch {
    return false;
  }
}

/** `npm ci` where something is missing or of another version than the lock file says; ends the program on failure. */
export function installIfNeeded() {
  if (isInstalled()) return;
  console.error('Installing packages …');
  const npm = process.env.npm_execpath; // the npm that runs this script, whatever its name on this system
  const flags = ['ci', '--include=dev', '--no-audit', '--no-fund', '--loglevel=error'];
  const run = npm?.endsWith('.js')
    ? spawnSync(process.execPath, [npm, ...flags], { cwd: ROOT, stdio: ['ignore', 2, 2] })
    : spawnSync('npm', flags, { cwd: ROOT, stdio: ['ignore', 2, 2], shell: process.platform === 'win32' });
  if (run.status === 0) return;
  console.error(
    'The packages could not be installed; see the lines above. Check the network, then run it again.',
  );
  process.exit(1);
}
