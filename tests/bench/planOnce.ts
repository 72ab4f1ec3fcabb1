import loadHighs from 'highs';
import { planBothArches } from '../../src/core/reduction/planBothArches.ts';
import { twentySixContacts } from './twentySixContacts.ts';

// One plan of two arches in a process that has done nothing yet; prints the processor time of the call alone, ms.
const solver = await loadHighs();
const before = process.cpuUsage();
planBothArches(twentySixContacts(), solver);
const { user, system } = process.cpuUsage(before);
process.stdout.write(`${(user + system) / 1000}\n`);
