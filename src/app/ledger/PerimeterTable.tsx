import { useDeferredValue, useMemo } from 'react';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { perimeterChoices } from '../../core/casefile/perimeterChoices.ts';
import type { ArchForm, ArchMeasures } from '../../core/measure/ArchMeasures.ts';
import type { PerimeterMethod } from '../../core/space/Ledger.ts';
import { useArchAccount } from '../account/useArchAccount.ts';
import { FORM_NAMES, sd, signed } from '../format.ts';
import { actions } from '../store.ts';
import { sayingBalance } from './balanceChange.ts';
import { ChoiceTable } from './ChoiceTable.tsx';

const SEGMENT_NAMES: Readonly<Record<Exclude<PerimeterMethod, 'line'>, string>> = {
  'four-segments': 'Four straight segments',
  'six-segments': 'Six straight segments',
};

const idOf = (perimeter: PerimeterMethod, form: ArchForm | null): string => form ?? perimeter;

/** The record without what the table does not depend on, so that it is not made anew for it. */
function useRows(record: ArchRecord, opposing: ArchMeasures | null) {
  const late = useDeferredValue(record);
  // biome-ignore lint/correctness/useExhaustiveDependencies: the parts of the record that the rows are made of
  return useMemo(
    () => perimeterChoices(late, opposing),
    [
      late.readings,
      late.activeReading,
      late.chart,
      late.frame,
      late.markSdMm,
      late.form,
      late.perimeter,
      late.allowances,
      late.prediction,
      opposing,
    ],
  );
}

/** Every way of measuring the space available with the balance it leads to; choosing one switches the account. */
export function PerimeterTable({ record }: { record: ArchRecord }) {
  const opposing = useArchAccount(record.jaw === 'upper' ? 'lower' : 'upper')?.measures ?? null;
  const rows = useRows(record, opposing);
  const { jaw } = record;
  const choose = (id: string): void => {
    const row = rows.find(({ perimeter, form }) => idOf(perimeter, form) === id);
    if (!row) return;
    const name = row.form ? FORM_NAMES[row.form] : SEGMENT_NAMES[row.perimeter as 'four-segments'];
    sayingBalance(jaw, name, () => actions().setArchLength(jaw, row.perimeter, row.form));
  };
  return (
    <ChoiceTable
      label="Space available measured by"
      heads={['Space available by', 'mm', 'balance', 'differs']}
      figureRem={[3.9]}
      value={idOf(record.perimeter, record.perimeter === 'line' ? record.form : null)}
      onChange={choose}
      rows={rows.map(({ perimeter, form, available, balanceMm, balanceSdMm, differenceMm, isChosen }) => ({
        id: idOf(perimeter, form),
        title: form ? `Arch line, ${lower(FORM_NAMES[form])}` : SEGMENT_NAMES[perimeter as 'four-segments'],
        disabled: available === null,
        note: available ? undefined : form ? 'could not be fitted' : 'contact points are missing',
        spoken:
          balanceMm === null
            ? 'no balance'
            : `balance ${signed(balanceMm)}\u00a0mm, SD ${sd(balanceSdMm)}${isChosen || differenceMm === null ? '' : `, ${signed(differenceMm)}\u00a0mm from the one in use`}`,
        cells: [
          available ? available.valueMm.toFixed(2) : '–',
          balanceMm === null ? (
            '–'
          ) : (
            <>
              {signed(balanceMm)}
              <small className="choices__note">{sd(balanceSdMm)}</small>
            </>
          ),
          isChosen ? 'in use' : differenceMm === null ? '–' : signed(differenceMm),
        ],
      }))}
    />
  );
}

const lower = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);
