import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { dirname, join, relative, resolve } from 'node:path';

/**
 * What a result depends on besides its inputs: a checksum of the code that measures, from `entry` along its imports,
 * and of the libraries' versions in `root`/package.json. Other code may change without results being measured anew.
 */
export async function programStamp(root: string, entry: string): Promise<string> {
  const sources = await codeFrom(resolve(root, entry));
  const { name, version, dependencies } = JSON.parse(await readFile(join(root, 'package.json'), 'utf8'));
  const checksum = createHash('sha256').update(JSON.stringify(dependencies));
  const files = [...sources].map(([path, source]) => [relative(root, path).replaceAll('\\', '/'), source]);
  for (const file of files.sort(([a], [b]) => (a < b ? -1 : 1))) checksum.update(JSON.stringify(file));
  return `${name} ${version}, ${checksum.digest('hex').slice(0, 16)}`;
}

/** A source file and all it imports, near and far, by path; packages are not followed. */
export async function codeFrom(entry: string): Promise<ReadonlyMap<string, string>> {
  const sources = new Map<string, string>();
  const read = async (path: string): Promise<void> => {
    if (sources.has(path)) return;
    sources.set(path, '');
    const source = (await readFile(path, 'utf8')).replaceAll('\r\n', '\n');
    sources.set(path, source);
    const imports = [...source.matchAll(/(?:\bfrom|\bimport)\s*\(?\s*['"](\.[^'"]+)['"]/g)];
    await Promise.all(imports.map(([, to]) => read(resolve(dirname(path), to))));
  };
  await read(entry);
  return sources;
}
