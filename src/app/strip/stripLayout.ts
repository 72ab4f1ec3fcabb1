import { pointInOcclusalPlane } from '../../core/arch/ArchFrame.ts';
import {
  archOrder,
  archPlace,
  type Contact,
  contactsOf,
  isRight,
  positionOf,
  type Tooth,
} from '../../core/base/tooth.ts';
import type { ArchRecord } from '../../core/casefile/CaseDocument.ts';
import { presentTeeth } from '../../core/casefile/presentTeeth.ts';
import type { ArchMeasures, ToothMeasure } from '../../core/measure/ArchMeasures.ts';
import type { ReductionPlan } from '../../core/reduction/ReductionPlan.ts';
import { activeMarks, presenceOf, sameContact } from '../state/archEdits.ts';
import { type Unrolled, unroller } from './unroll.ts';

/** How a tooth's width came about. */
export type BlockState = 'confirmed' | 'proposed' | 'entered' | 'unmeasured';

export interface StripBlock {
  readonly tooth: Tooth;
  readonly state: BlockState;
  readonly unerupted: boolean;
  readonly measure: ToothMeasure | null;
  /** Where the tooth stands: its end toward the patient's right, its end toward the left. */
  readonly stands: { readonly right: Unrolled; readonly left: Unrolled } | null;
  /** The tooth in the row of blocks laid contact to contact from the midline. */
  readonly row: { readonly fromMm: number; readonly toMm: number };
}

export interface StripContact {
  readonly teeth: Contact;
  readonly missingBetween: readonly Tooth[];
  readonly separationMm: number | null;
  readonly separationFrom: 'surface' | 'marks';
  readonly alongArchMm: number | null; // negative: overlap
  readonly displacementMm: number | null;
  /** The two contact points as they stand, right tooth first. */
  readonly points: readonly [Unrolled, Unrolled] | null;
  readonly rowMm: number; // where the contact lies in the row
}

export interface StripLayout {
  readonly blocks: readonly StripBlock[];
  readonly contacts: readonly StripContact[];
  /** Ends of what the arch line offers straight teeth: the mesial contact points of the first molars, with a plan where it leaves them, less half of what the curve exceeds straight teeth by at each. */
  readonly lineEnds: readonly [number, number] | null;
  /** What a plan takes from the mesial surfaces of the first molars lengthens the line, mm. */
  readonly lineGainMm: { readonly right: number; readonly left: number };
  readonly midlineMm: number; // along the line
  /** What the blocks from molar to molar stick out beyond each end of the line; negative: free. */
  readonly overMm: { readonly right: number; readonly left: number } | null;
  readonly hasLine: boolean;
  readonly fromMm: number; // extent of everything drawn
  readonly toMm: number;
  readonly outMm: readonly [outside: number, inside: number]; // greatest distances from the line, both positive
}

/** Width of a block whose true width nobody knows yet: drawn open and dashed, and counted nowhere. */
export const PLACEHOLDER_MM = 6;

const stateOf = (record: ArchRecord, tooth: Tooth, measure: ToothMeasure | null): BlockState => {
  if (!measure) return 'unmeasured';
  if (measure.source === 'entered') return 'entered';
  const marks = activeMarks(record).filter(
    (mark) => mark.tooth === tooth && (mark.site === 'mesial' || mark.site === 'distal'),
  );
  return marks.every((mark) => mark.state === 'confirmed') ? 'confirmed' : 'proposed';
};

/** Teeth drawn on the strip, patient's right first: those that stand in the arch and those still to erupt. */
const teethShown = (record: ArchRecord): readonly Tooth[] =>
  [...new Set([...presentTeeth(record), ...record.chart.unerupted])].sort(
    (a, b) => archPlace(a) - archPlace(b),
  );

/**
 * The arch unrolled: teeth as they stand beside their arch line, and the same teeth as blocks of true width
 * laid contact to contact. With `plan`, every block is narrower by what is planned on its surfaces, and the line is
 * longer by what is planned on the mesial surfaces of the first molars: its ends lie there.
 */
export function stripLayout(
  record: ArchRecord,
  measures: ArchMeasures,
  plan: ReductionPlan | null,
): StripLayout {
  const teeth = teethShown(record);
  const line = measures.line?.pointsInOcclusalPlane ?? [];
  const hasLine = line.length > 1;
  const unroll = hasLine ? unroller(line, [0, 1]) : null;
  const onLine = (tooth: Tooth, site: 'mesial' | 'distal'): Unrolled | null => {
    const mark = activeMarks(record).find((m) => m.tooth === tooth && m.site === site);
    return mark && unroll ? unroll(pointInOcclusalPlane(record.frame, mark.pointMm)) : null;
  };
  const middles = teeth.filter((t) => positionOf(t) === 1).map((t) => onLine(t, 'mesial')?.alongMm);
  const known = middles.filter((along) => along !== undefined);
  const lengthMm = measures.line?.length.valueMm ?? 0;
  const midlineMm = known.length > 0 ? known.reduce((a, b) => a + b, 0) / known.length : lengthMm / 2;

  const narrowedMm = (tooth: Tooth): number =>
    (plan?.contacts ?? []).reduce((sum, contact) => {
      const side = contact.teeth.indexOf(tooth);
      return side < 0 ? sum : sum + contact.surfacesMm[side];
    }, 0);

  const gainMm = (right: boolean): number =>
    (plan?.contacts ?? []).reduce((sum, { teeth: pair, surfacesMm }) => {
      const side = pair.findIndex((tooth) => positionOf(tooth) === 6 && isRight(tooth) === right);
      return side >= 0 && positionOf(pair[1 - side]) < 6 ? sum + surfacesMm[side] : sum;
    }, 0);
  const lineGainMm = { right: gainMm(true), left: gainMm(false) };

  const rowEnds = { right: midlineMm, left: midlineMm };
  const place = (tooth: Tooth): StripBlock => {
    const measure = measures.teeth.find((m) => m.tooth === tooth) ?? null;
    const widthMm = measure ? Math.max(0, measure.widthMm - narrowedMm(tooth)) : PLACEHOLDER_MM;
    const right = isRight(tooth);
    const fromMm = right ? rowEnds.right - widthMm : rowEnds.left;
    const toMm = fromMm + widthMm;
    if (right) rowEnds.right = fromMm;
    else rowEnds.left = toMm;
    const mesial = onLine(tooth, 'mesial');
    const distal = onLine(tooth, 'distal');
    const stands =
      mesial && distal ? (right ? { right: distal, left: mesial } : { right: mesial, left: distal }) : null;
    return {
      tooth,
      state: stateOf(record, tooth, measure),
      unerupted: presenceOf(record.chart, tooth) === 'unerupted',
      measure,
      stands,
      row: { fromMm, toMm },
    };
  };
  const rightBlocks = teeth.filter(isRight).reverse().map(place).reverse();
  const blocks = [...rightBlocks, ...teeth.filter((t) => !isRight(t)).map(place)];

  const contacts = contactsOf(presentTeeth(record)).map((pair): StripContact => {
    const [a, b] = pair;
    const measured = measures.contacts.find((c) => sameContact(c.teeth, pair)) ?? null;
    const first = blocks.find((block) => block.tooth === a);
    const second = blocks.find((block) => block.tooth === b);
    const points = measured?.pointsMm;
    return {
      teeth: pair,
      missingBetween: archOrder(record.jaw).filter(
        (t) => archPlace(t) > archPlace(a) && archPlace(t) < archPlace(b) && !teeth.includes(t),
      ),
      separationMm: measured?.separation?.valueMm ?? null,
      separationFrom: measured?.separationFrom ?? 'marks',
      alongArchMm: measured?.alongArch?.valueMm ?? null,
      displacementMm: measured?.displacement?.valueMm ?? null,
      points:
        points && unroll
          ? [
              unroll(pointInOcclusalPlane(record.frame, points[0])),
              unroll(pointInOcclusalPlane(record.frame, points[1])),
            ]
          : null,
      rowMm: ((first?.row.toMm ?? 0) + (second?.row.fromMm ?? 0)) / 2,
    };
  });

  const molars = teeth.filter((t) => positionOf(t) === 6).map((t) => onLine(t, 'mesial')?.alongMm);
  const excessMm = (measures.line?.chordExcessMm ?? 0) / 2;
  const lineEnds =
    molars.length === 2 && molars[0] !== undefined && molars[1] !== undefined
      ? ([molars[0] - lineGainMm.right + excessMm, molars[1] + lineGainMm.left - excessMm] as const)
      : null;
  const molarEnd = (right: boolean): number | undefined => {
    const molar = blocks.find((block) => positionOf(block.tooth) === 6 && isRight(block.tooth) === right);
    return right ? molar?.row.toMm : molar?.row.fromMm;
  };
  const [rightEnd, leftEnd] = [molarEnd(true), molarEnd(false)];
  const between = blocks.filter((block) => positionOf(block.tooth) <= 5);
  const allKnown = between.every((block) => block.measure !== null);
  const overMm =
    lineEnds && allKnown && rightEnd !== undefined && leftEnd !== undefined
      ? { right: lineEnds[0] - rightEnd, left: leftEnd - lineEnds[1] }
      : null;
  const alongs = blocks.flatMap((block) => [
    block.row.fromMm,
    block.row.toMm,
    ...(block.stands ? [block.stands.right.alongMm, block.stands.left.alongMm] : []),
  ]);
  const outs = blocks.flatMap((block) =>
    block.stands ? [block.stands.right.outMm, block.stands.left.outMm] : [],
  );
  return {
    blocks,
    contacts,
    lineEnds,
    lineGainMm,
    midlineMm,
    overMm,
    hasLine,
    fromMm: Math.min(midlineMm, ...alongs),
    toMm: Math.max(midlineMm, ...alongs),
    outMm: [Math.max(0.5, ...outs), Math.max(0.5, ...outs.map((out) => -out))],
  };
}

/** False while no tooth has a width: then nothing drawn is to scale. */
export const isToScale = (layout: StripLayout): boolean =>
  layout.blocks.some((block) => block.measure !== null);
