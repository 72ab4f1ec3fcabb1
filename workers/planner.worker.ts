import { expose } from 'comlink';
import { plannerWork } from './plannerWork.ts';

expose(plannerWork);
