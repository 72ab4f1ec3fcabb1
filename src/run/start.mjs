import { installIfNeeded, ROOT, requireNode } from './install.mjs';

// Installs what is missing, builds the app and serves it: `npm start`, or `npm start -- --port 5000`.
requireNode();
installIfNeeded();

const at = process.argv.indexOf('--port');
const port = Number(at > 0 ? process.argv[at + 1] : (process.env.PORT ?? 4173));
if (!Number.isInteger(port) || port < 1 || port > 65535) {
  console.error(
    `start: the port is not valid; got ${process.argv[at + 1] ?? process.env.PORT}, need 1 to 65535.`,
  );
  process.exit(2);
}

const { build, preview } = await import('vite');
console.log('Building …');
await build({ root: ROOT, logLevel: 'warn' });
// A port in use is no fault: the next free one is taken.
const server = await preview({
  root: ROOT,
  logLevel: 'warn',
  preview: { port, strictPort: false, open: false },
});

for (const signal of ['SIGINT', 'SIGTERM']) {
  process.on(signal, () => {
    server.httpServer.close();
    process.exit(0);
  });
}
console.log('Stop with Ctrl+C.');
console.log(`Archledger is ready: ${server.resolvedUrls?.local[0] ?? `http://localhost:${port}/`}`);
