import { expose } from 'comlink';
import { geometryWork } from './geometryWork.ts';

expose(geometryWork);
