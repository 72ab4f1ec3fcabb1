import { expose } from 'comlink';
import { plannerWork } from './plannerWork.ts';

// The solver is large, and needed only where both arches are planned together.
expose(plannerWork(async () => (await import('highs')).default()));
