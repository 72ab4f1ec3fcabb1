import { readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { validationStudy } from '../support/validationExperiment.ts';
import { VALIDATION_FROM, VALIDATION_TO, validationReport } from './validationReport.ts';

// `npx tsx tests/accuracy/validation.ts [arches]` measures generated arches by proposals and by scattered clicks, holds
// the widths against the truth and against each other, and writes validation.json and README's section.

const besides = (name: string): string => fileURLToPath(new URL(name, import.meta.url));

const validation = validationStudy(Number(process.argv[2] ?? 36), (done) =>
  process.stderr.write(`${done}\n`),
);
writeFileSync(besides('./validation.json'), `${JSON.stringify(validation, null, 2)}\n`);
const readme = readFileSync(besides('../../README.md'), 'utf8');
const [before, rest] = readme.split(VALIDATION_FROM);
const after = rest?.split(VALIDATION_TO)[1];
if (after === undefined) throw new Error('validation: README has no place for the study.');
const text = validationReport(validation);
writeFileSync(
  besides('../../README.md'),
  `${before}${VALIDATION_FROM}\n\n${text}\n\n${VALIDATION_TO}${after}`,
);
process.stdout.write(`${text}\n`);
