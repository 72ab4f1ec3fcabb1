import { bytes, count, day, dayAndTime, fixed, mm, percent, sd, signed } from '../../src/app/format.ts';
import { csvText } from '../../src/app/storage/csvText.ts';
import { dayOf, today } from '../../src/app/visits/visitWords.ts';
import { caseJson } from '../../src/core/casefile/documentJson.ts';
import { emptyCase } from '../../src/core/casefile/newCase.ts';

// Prints what is written for the user where this runs: tests/app/locales.test.ts runs it under other clocks and tongues.

const moment = new Date('2026-03-01T23:30:00Z');
console.log(
  JSON.stringify({
    tongue: new Intl.NumberFormat().resolvedOptions().locale,
    zone: new Intl.DateTimeFormat().resolvedOptions().timeZone,
    plain: (1234.5).toLocaleString(), // what nobody may print
    texts: [
      fixed(-0.3),
      signed(0.25),
      mm(1234.567),
      sd(0.08),
      percent(0.123, 1),
      count(1234567),
      bytes(1536000),
    ],
    stored: [dayOf('2026-03-01'), dayOf('2024-02-29'), dayOf('2026-10-25')],
    csv: csvText({ header: ['a'], rows: [[-1234.5], [0.1]] }),
    saved: caseJson(emptyCase('a', moment.toISOString())),
    moment: [day(moment), dayAndTime(moment)],
    today: today(),
    clock: [new Date().getFullYear(), new Date().getMonth() + 1, new Date().getDate()],
  }),
);
