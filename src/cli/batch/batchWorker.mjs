// A worker thread does not inherit the reader of TypeScript; it is brought in here.
import { register } from 'tsx/esm/api';

register();
await import('./batchWorker.ts');
