import { archPlace, type Contact } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { type OwnAmount, ownAmountsOf } from '../../core/reduction/ownAmounts.ts';
import type { ReductionPlan } from '../../core/reduction/ReductionPlan.ts';
import { sameContact } from './archEdits.ts';

/** One own amount changed; the first change starts from the amounts of the plan in view, the rest of them staying. */
export function withOwnTenth(
  record: ArchRecord,
  plan: Pick<ReductionPlan, 'contacts'> | null,
  teeth: Contact,
  change: Partial<Omit<OwnAmount, 'teeth'>>,
): ArchRecord {
  const before = record.ownTenths ?? (plan ? ownAmountsOf(plan) : []);
  const old = before.find((own) => sameContact(own.teeth, teeth)) ?? { teeth, amountMm: 0, reason: '' };
  const next = { ...old, ...change };
  const isSame = next.amountMm === old.amountMm && next.reason === old.reason;
  if (record.ownTenths && isSame) return record;
  const rest = before.filter((own) => !sameContact(own.teeth, teeth));
  return { ...record, ownTenths: [...rest, next].sort((a, b) => order(a) - order(b)) };
}

const order = ({ teeth: [a] }: OwnAmount): number => archPlace(a);

/** Back to the plan: the own amounts leave the document. */
export function withoutOwnTenths(record: ArchRecord): ArchRecord {
  if (!record.ownTenths) return record;
  const { ownTenths: _, ...rest } = record;
  return rest;
}
