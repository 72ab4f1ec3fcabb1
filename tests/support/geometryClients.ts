import { readFileSync } from 'node:fs';
import { afterEach } from 'vitest';
import { GeometryClient } from '../../workers/client.ts';
import { makeGeometryWork } from '../../workers/geometryWork.ts';
import { spawnOverChannel } from './channelWorker.ts';

/** Makes clients whose every new worker starts with nothing kept, as in the browser; each test's are closed after it. */
export function geometryClients(): () => GeometryClient {
  const clients: GeometryClient[] = [];
  afterEach(() => {
    for (const client of clients.splice(0)) client.close();
  });
  return () => {
    const client = new GeometryClient(() => spawnOverChannel(makeGeometryWork()));
    clients.push(client);
    return client;
  };
}

/** The bytes of a shipped sample, to be given away. */
export const sampleBytes = (name: string): ArrayBuffer =>
  new Uint8Array(readFileSync(new URL(`../../sample-meshes/${name}`, import.meta.url))).slice().buffer;
