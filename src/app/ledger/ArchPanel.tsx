import { useDeferredValue } from 'react';
import { Radio, RadioGroup } from 'react-aria-components';
import type { Source } from '../../core/base/Source.ts';
import { archOrder, positionOf, type Tooth } from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import type { ArchForm, ArchMeasures, Estimate } from '../../core/measure/ArchMeasures.ts';
import { everyLineOf } from '../account/useArchAccount.ts';
import { FORM_NAMES, mm, sd } from '../format.ts';
import { actions } from '../store.ts';
import { sayingBalance } from './balanceChange.ts';
import { type Figure, FigureTable } from './FigureTable.tsx';

const measured = (text: string): Source => ({ standing: 'measured', text });

const teethAt = (record: ArchRecord, positions: readonly number[]): readonly Tooth[] =>
  archOrder(record.jaw).filter((tooth) => positions.includes(positionOf(tooth)));

interface Line {
  readonly id: string;
  readonly what: string;
  readonly estimate: Estimate | null;
  readonly positions: readonly number[];
  readonly how: string;
  readonly needs: string;
  readonly remark?: string;
}

/** Arch measures as lines of an account; each says what it rests on and, where it is wanting, what it needs. */
export function archFigures(record: ArchRecord, measures: ArchMeasures): readonly Figure[] {
  const front = [1, 2, 3];
  const lines: readonly Line[] = [
    {
      id: 'four-segments',
      what: 'Perimeter in four segments',
      estimate: measures.fourSegments,
      positions: [1, 2, 3, 4, 5, 6],
      how: 'two straight pieces behind and two in front, first molar to first molar',
      needs: 'contact points from first molar to first molar',
    },
    {
      id: 'six-segments',
      what: 'Perimeter in six segments',
      estimate: measures.sixSegments,
      positions: [1, 2, 3, 4, 5, 6],
      how: 'six straight pieces, each over two teeth, first molars included',
      needs: 'contact points of both first molars and the teeth between',
    },
    {
      id: 'irregularity',
      what: 'Irregularity of the six front teeth',
      estimate: measures.irregularity,
      positions: front,
      how: 'sum of the five displacements between neighbouring contact points; Little RM, Am J Orthod 1975;68:554–563',
      needs: 'both contact points of the six front teeth',
      remark: measures.irregularityGrade ?? undefined,
    },
    {
      id: 'depth',
      what: 'Arch depth',
      estimate: measures.depth,
      positions: [1, 6],
      how: 'from the midline contact points to the line through the mesial points of the first molars',
      needs: 'mesial points of the central incisors and first molars',
    },
    {
      id: 'intercanine',
      what: 'Width between the canines',
      estimate: measures.intercanine,
      positions: [3],
      how: 'cusp tip to cusp tip',
      needs: 'both canine cusp tips',
    },
    {
      id: 'interpremolar',
      what: 'Width between the first premolars',
      estimate: measures.interpremolar,
      positions: [4],
      how: 'buccal cusp tip to buccal cusp tip',
      needs: 'buccal cusp tips of both first premolars',
    },
    {
      id: 'intermolar',
      what: 'Width between the first molars',
      estimate: measures.intermolar,
      positions: [6],
      how: 'mesiobuccal cusp tip to mesiobuccal cusp tip',
      needs: 'mesiobuccal cusp tips of both first molars',
    },
    {
      id: 'spee-right',
      what: 'Depth of the curve of Spee, right',
      estimate: measures.speeDepthRight,
      positions: [1, 3, 4, 5, 6, 7],
      how: 'greatest distance of the cusp tips from the plane over incisal edges and last molar cusps',
      needs: 'cusp tips and incisal edges on the right',
    },
    {
      id: 'spee-left',
      what: 'Depth of the curve of Spee, left',
      estimate: measures.speeDepthLeft,
      positions: [1, 3, 4, 5, 6, 7],
      how: 'greatest distance of the cusp tips from the plane over incisal edges and last molar cusps',
      needs: 'cusp tips and incisal edges on the left',
    },
    {
      id: 'midline',
      what: 'Midline offset',
      estimate: measures.midlineOffset,
      positions: [1],
      how: `distance of the dental midline from the middle of the arch; positive toward the patient’s ${
        record.jaw === 'lower' ? 'right' : 'left'
      }`,
      needs: 'mesial points of both central incisors',
    },
    {
      id: 'asymmetry',
      what: 'Asymmetry of right and left',
      estimate: measures.asymmetry,
      positions: [1, 2, 3, 4, 5, 6],
      how: 'root mean square distance of the left contact points from the mirrored right ones',
      needs: 'contact points on both sides',
    },
  ];
  return lines.map((line) => ({
    id: line.id,
    what: line.what,
    valueMm: line.estimate?.valueMm ?? null,
    sdMm: line.estimate?.sdMm ?? null,
    source: measured(line.how),
    missing: line.estimate ? null : line.needs,
    teeth: teethAt(record, line.positions),
    remark: line.remark,
  }));
}

/** Arch line in every form that could be fitted, and the measures of the arch as a whole. */
export function ArchPanel({ record, measures }: { record: ArchRecord; measures: ArchMeasures }) {
  return (
    <div className="sheet">
      <section className="sheet__section" aria-labelledby="arch-line">
        <div className="sheet__head">
          <h3 className="sheet__title" id="arch-line">
            Arch line
          </h3>
          <span className="sheet__note">the chosen form enters the account</span>
        </div>
        <FormChoice record={record} measures={measures} />
        <p className="sheet__note">
          Fit: root mean square distance of the contact points from the line, mm. A displaced tooth counts
          less. A close fit does not make a form the right one. What each form makes of the balance stands in
          the account.
        </p>
      </section>
      <section className="sheet__section" aria-labelledby="arch-measures">
        <h3 className="sheet__title" id="arch-measures">
          Arch
        </h3>
        <FigureTable caption="Arch measures" figures={archFigures(record, measures)} />
      </section>
    </div>
  );
}

function FormChoice({ record, measures }: { record: ArchRecord; measures: ArchMeasures }) {
  const forms = Object.keys(FORM_NAMES) as readonly ArchForm[];
  // The form in force follows at once, the others a moment later.
  const lines = everyLineOf(useDeferredValue(record));
  return (
    <RadioGroup
      className="forms"
      aria-label="Form of the arch line"
      value={record.form}
      onChange={(form) =>
        sayingBalance(record.jaw, FORM_NAMES[form as ArchForm], () =>
          actions().setForm(record.jaw, form as ArchForm),
        )
      }
    >
      <div className="forms__row forms__head" aria-hidden="true">
        <span />
        <span>Form</span>
        <span className="forms__figure">length</span>
        <span className="forms__figure">SD</span>
        <span className="forms__figure">fit</span>
      </div>
      {forms.map((form) => {
        const line =
          form === record.form ? measures.line : (lines.find((fitted) => fitted.form === form) ?? null);
        const words = line
          ? `${FORM_NAMES[form]}: length ${mm(line.length.valueMm)}\u00a0mm, SD ${mm(line.length.sdMm)}, fit ${mm(line.fitRmsMm)}\u00a0mm`
          : `${FORM_NAMES[form]}: could not be fitted`;
        return (
          <Radio key={form} value={form} className="forms__row" aria-label={words}>
            <span className="forms__dot" aria-hidden="true" />
            <span>{FORM_NAMES[form]}</span>
            <span className="num forms__figure">{line ? mm(line.length.valueMm) : '–'}</span>
            <span className="num soft forms__figure">{line ? sd(line.length.sdMm) : ''}</span>
            <span className="num forms__figure">{line ? mm(line.fitRmsMm) : '–'}</span>
          </Radio>
        );
      })}
    </RadioGroup>
  );
}
