import fc from 'fast-check';
import { type ArchFrame, archFrame } from '../../../src/core/arch/ArchFrame.ts';
import { archOrder, type Jaw, type Tooth } from '../../../src/core/base/tooth.ts';
import type { Vec3 } from '../../../src/core/base/Vec3.ts';
import type { ArchRecord, CaseDocument, ContactSettings } from '../../../src/core/casefile/CaseDocument.ts';
import type { MarkSite, PlacedMark } from '../../../src/core/marks/Mark.ts';

/** A finite number without −0, which JSON cannot hold. */
const real = (min: number, max: number): fc.Arbitrary<number> =>
  fc.double({ min, max, noNaN: true }).map((x) => x + 0);

const vec3 = (limit: number): fc.Arbitrary<Vec3> =>
  fc.tuple(real(-limit, limit), real(-limit, limit), real(-limit, limit));

export const arbitraryFrame: fc.Arbitrary<ArchFrame> = fc
  .tuple(vec3(500), real(-3, 3), real(-1.5, 1.5), real(-3, 3))
  .map(([origin, turn, tilt, heading]) => {
    const occlusal: Vec3 = [Math.cos(turn) * Math.cos(tilt), Math.sin(turn) * Math.cos(tilt), Math.sin(tilt)];
    const other: Vec3 = Math.abs(occlusal[2]) < 0.7 ? [0, 0, 1] : [Math.cos(heading), Math.sin(heading), 0];
    const frame = archFrame(origin, occlusal, other);
    const noMinusZero = ([x, y, z]: Vec3): Vec3 => [x + 0, y + 0, z + 0];
    return { ...frame, occlusal: noMinusZero(frame.occlusal), forward: noMinusZero(frame.forward) };
  });

const text = (maxLength: number) => fc.string({ unit: 'binary', maxLength });
const SITES: readonly MarkSite[] = ['mesial', 'distal', 'cusp', 'incisal'];

const arbitraryMark = (teeth: readonly Tooth[]): fc.Arbitrary<PlacedMark> =>
  fc.record(
    {
      tooth: fc.constantFrom(...teeth),
      site: fc.constantFrom(...SITES),
      pointMm: vec3(1e5),
      state: fc.constantFrom('proposed' as const, 'confirmed' as const),
      confidence: fc.option(real(0, 1), { nil: null }),
      sdMm: real(0, 2),
    },
    { requiredKeys: ['tooth', 'site', 'pointMm', 'state', 'confidence'] },
  );

/** A record in which the fields of `maybe` may be absent. */
const withMaybe = <T extends object, M extends object>(
  sure: { [K in keyof T]: fc.Arbitrary<T[K]> },
  maybe: { [K in keyof M]: fc.Arbitrary<M[K]> },
): fc.Arbitrary<T & Partial<M>> =>
  fc
    .tuple(fc.record(sure), fc.record(maybe as never, { requiredKeys: [] }))
    .map(([a, b]) => ({ ...a, ...(b as object) })) as fc.Arbitrary<T & Partial<M>>;

const band = fc
  .tuple(real(60, 90), real(0, 5))
  .map(([lowPercent, width]) => ({ lowPercent, highPercent: lowPercent + width }));

const arbitraryContact = (teeth: readonly Tooth[]): fc.Arbitrary<ContactSettings> =>
  withMaybe(
    {
      teeth: fc.nat({ max: teeth.length - 2 }).map((i) => [teeth[i], teeth[i + 1]] as const),
      limitMm: fc.option(real(0, 3), { nil: null }),
      limitReason: text(40),
      surfaceLimitsMm: fc.tuple(fc.option(real(0, 2), { nil: null }), fc.option(real(0, 2), { nil: null })),
      earlierReductionMm: fc.tuple(real(0, 1), real(0, 1)),
      lock: fc.constantFrom('restoration', 'implant', 'caries-risk', 'refused', 'other', null),
      reachableFromVisit: fc.integer({ min: 1, max: 60 }),
    },
    {
      enamelMm: fc.tuple(fc.option(real(0, 3), { nil: null }), fc.option(real(0, 3), { nil: null })),
    },
  );

export function arbitraryArch(jaw: Jaw): fc.Arbitrary<ArchRecord> {
  const teeth = [
    ...archOrder(jaw),
    ...archOrder(jaw)
      .filter((t) => t % 10 <= 5)
      .map((t) => t + 40),
  ];
  const someTeeth = fc.uniqueArray(fc.constantFrom(...teeth), { maxLength: 6 });
  return fc
    .record({
      scan: fc.record({
        file: fc.constantFrom('lower.stl', 'Ober kiefer №2.ply', 'a.obj'),
        sha256: fc.stringMatching(/^[0-9a-f]{64}$/),
        format: fc.constantFrom(
          'stl-binary',
          'stl-ascii',
          'ply-binary-le',
          'ply-binary-be',
          'ply-ascii',
          'obj',
        ),
        byteCount: fc.nat(),
        unit: fc.constantFrom('mm', 'cm', 'm', 'in', 'um'),
        triangles: fc.nat(),
        vertices: fc.nat(),
      }),
      medianEdgeMm: real(0.001, 5),
      frame: arbitraryFrame,
      frameSource: fc.constantFrom('found' as const, 'corrected' as const),
      frameConfidence: fc.option(real(0, 1), { nil: null }),
      readings: fc.array(
        fc.record({
          observer: text(20),
          repeat: fc.integer({ min: 1, max: 20 }),
          marks: fc.uniqueArray(arbitraryMark(teeth), {
            maxLength: 32,
            selector: (mark) => `${mark.tooth}-${mark.site}`,
          }),
        }),
        { minLength: 1, maxLength: 3 },
      ),
      missing: someTeeth,
      unerupted: someTeeth,
      thirdMolars: fc.subarray(teeth.filter((t) => t % 10 === 8)),
      enteredWidths: fc.uniqueArray(
        fc.record({ tooth: fc.constantFrom(...teeth), widthMm: real(0.5, 14), sdMm: real(0, 2) }),
        { selector: (entry) => entry.tooth, maxLength: 5 },
      ),
      form: fc.constantFrom('spline', 'polynomial4', 'polynomial6', 'beta', 'catenary', 'conic'),
      perimeter: fc.constantFrom('line', 'four-segments', 'six-segments'),
      markSdMm: real(0.001, 1),
      prediction: fc.constantFrom(
        null,
        { method: 'moyers', percentile: 75 },
        { method: 'regression', id: 'some-regression' },
        { method: 'antimere' },
      ),
      allowances: fc.array(
        fc.record(
          {
            kind: fc.constantFrom('spee', 'incisor-position', 'arch-width', 'extraction', 'other'),
            rule: fc.constantFrom('own', 'some-rule'),
            inputs: fc.dictionary(fc.stringMatching(/^[a-z][A-Za-z0-9]{0,8}$/), real(-20, 20), {
              maxKeys: 4,
              noNullPrototype: true,
            }),
            ownMm: real(-10, 10),
            ownSdMm: real(0, 3),
          },
          { requiredKeys: ['kind', 'rule', 'inputs'] },
        ),
        { maxLength: 4 },
      ),
      plan: withMaybe(
        {
          neededMm: fc.option(real(-10, 10), { nil: null }),
          stepMm: fc.constantFrom(0.1, 0.05, 0.2),
          overshootRisk: real(0.001, 0.999),
          visits: fc.integer({ min: 1, max: 60 }),
          perVisitLimitMm: real(0.1, 2),
          contacts: fc.uniqueArray(arbitraryContact(archOrder(jaw)), {
            selector: (settings) => settings.teeth.join('-'),
            maxLength: 13,
          }),
        },
        { midline: fc.record({ shiftToRightMm: real(-3, 3), toleranceMm: real(0, 1) }) },
      ),
      active: fc.nat(),
      corrections: fc.option(
        fc.record({
          seeds: fc.uniqueArray(fc.record({ tooth: fc.constantFrom(...teeth), pointMm: vec3(1e5) }), {
            selector: (seed) => seed.tooth,
            maxLength: 3,
          }),
          painted: fc.array(
            fc.record({
              tooth: fc.constantFrom(0, ...teeth),
              pointMm: vec3(1e5),
              radiusMm: real(0.1, 4),
            }),
            { maxLength: 3 },
          ),
        }),
        { nil: undefined },
      ),
    })
    .map(({ missing, unerupted, thirdMolars, enteredWidths, active, corrections, ...rest }) => ({
      ...rest,
      ...(corrections ? { crownCorrections: corrections } : {}),
      jaw,
      activeReading: active % rest.readings.length,
      chart: {
        missing,
        unerupted: unerupted.filter((t) => !missing.includes(t)),
        thirdMolars,
        enteredWidths,
      },
    })) as fc.Arbitrary<ArchRecord>;
}

export const arbitraryCase: fc.Arbitrary<CaseDocument> = withMaybe(
  {
    schema: fc.constant('archledger/case@1' as const),
    id: fc.stringMatching(/^[A-Za-z0-9-]{1,36}$/),
    title: text(60),
    createdAt: fc
      .date({ min: new Date('2000-01-01'), max: new Date('2100-01-01'), noInvalidDate: true })
      .map((date) => date.toISOString()),
    arches: fc.record({
      upper: fc.option(arbitraryArch('upper'), { nil: null }),
      lower: fc.option(arbitraryArch('lower'), { nil: null }),
    }),
    notation: fc.constantFrom('iso' as const, 'universal' as const, 'palmer' as const),
    ratioNorm: fc.constant('bolton-1958'),
  },
  {
    together: fc.record({
      isOn: fc.boolean(),
      ratios: fc.constantFrom('overall' as const, 'anterior' as const, 'both' as const),
      target: fc.constantFrom('norm-band' as const, 'norm-mean' as const, 'own' as const),
      own: fc.record({ overall: fc.option(band, { nil: null }), anterior: fc.option(band, { nil: null }) }),
      extraMm: fc.record({ upper: real(0, 5), lower: real(0, 5) }),
    }),
    cutting: fc.constantFrom('as-planned', 'own-record', 'rounded', 'lagana-2021'),
    caliper: fc.uniqueArray(
      fc.record({ tooth: fc.constantFrom(11, 26, 41, 47, 85), widthMm: real(0.1, 30) }),
      { selector: ({ tooth }) => tooth, maxLength: 4 },
    ),
  },
);

const isFull = ({ arches: { upper, lower } }: CaseDocument): boolean =>
  upper === null &&
  lower !== null &&
  lower.readings.length === 1 &&
  lower.readings[0].marks.length > 2 &&
  lower.readings[0].marks.length < 6 &&
  lower.plan.contacts.length > 1 &&
  lower.plan.contacts.length < 4 &&
  lower.plan.contacts[0].limitMm !== null &&
  lower.prediction?.method === 'moyers' &&
  lower.chart.missing.length > 1 &&
  lower.chart.unerupted.length > 0 &&
  lower.chart.enteredWidths.length > 0 &&
  lower.allowances.some((a) => a.ownMm !== undefined && Object.keys(a.inputs).length > 1);

let full: CaseDocument | undefined;

/** One small case with every kind of entry in its lower arch, always the same. */
export function fullCase(): CaseDocument {
  full ??= fc
    .sample(arbitraryArch('lower'), { seed: 20250131, numRuns: 3000 })
    .map(
      (lower): CaseDocument => ({
        schema: 'archledger/case@1',
        id: 'case-1',
        title: 'A title',
        createdAt: '2025-01-31T09:00:00.000Z',
        notation: 'iso',
        ratioNorm: 'bolton-1958',
        arches: { upper: null, lower },
      }),
    )
    .find(isFull);
  if (!full) throw new Error('no sample is full enough; change the seed');
  return structuredClone(full);
}
