import { expose } from 'comlink';
import { samplesWork } from './samplesWork.ts';

expose(samplesWork());
