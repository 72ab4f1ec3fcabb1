import { findArchFrame } from '../../src/core/arch/findArchFrame.ts';
import type { Jaw, Tooth } from '../../src/core/base/tooth.ts';
import { dot, type Vec3 } from '../../src/core/base/Vec3.ts';
import type { CrownMap } from '../../src/core/crowns/findCrowns.ts';
import { proposeMarks } from '../../src/core/marks/proposeMarks.ts';
import type { ArchMeasures } from '../../src/core/measure/ArchMeasures.ts';
import { measureArch } from '../../src/core/measure/measureArch.ts';
import { surfaceIndex } from '../../src/core/scan/surfaceIndex.ts';
import { spaceLedger } from '../../src/core/space/spaceLedger.ts';
import type { ArchRecipe } from '../../src/samples/ArchRecipe.ts';
import { type GeneratedArch, makeArch } from '../../src/samples/makeArch.ts';
import { makeMesh } from './meshes.ts';

/** One generated arch measured without a click, against its truth; mm and degrees. */
export interface ProposedArch {
  readonly name: string;
  readonly kind: string;
  readonly recipe: ArchRecipe;
  readonly found: readonly Tooth[];
  readonly present: readonly Tooth[];
  readonly tiltDeg: number;
  readonly turnDeg: number;
  readonly widths: readonly { readonly tooth: Tooth; readonly errorMm: number; readonly sdMm: number }[];
  readonly lineErrorMm: number; // against the smooth line through aligned contacts
  readonly irregularityErrorMm: number | null;
  readonly balanceErrorMm: number; // space available less required, on the arch line
  readonly meanOverlap: number;
  readonly leastOverlap: number;
}

interface Kind {
  readonly kind: string;
  readonly shape: Partial<ArchRecipe>;
  readonly missing?: (jaw: Jaw) => Tooth;
}

const KINDS: readonly Kind[] = [
  { kind: 'aligned', shape: {} },
  { kind: 'crowded 2 mm', shape: { crowdingMm: 2 } },
  { kind: 'crowded 4 mm', shape: { crowdingMm: 4 } },
  { kind: 'crowded 6 mm', shape: { crowdingMm: 6 } },
  { kind: 'spaced 4 mm', shape: { spacingMm: 4 } },
  { kind: 'missing tooth, place open', shape: {}, missing: (jaw) => (jaw === 'lower' ? 35 : 12) },
];

/** Forty-two arches that are not shipped, in any pose, noise to 0.03 mm, 80,000 to 800,000 triangles. */
export function proposalRecipes(): readonly {
  kind: string;
  recipe: ArchRecipe;
  missing: readonly Tooth[];
}[] {
  const out: { kind: string; recipe: ArchRecipe; missing: readonly Tooth[] }[] = [];
  for (let round = 0; round < 7; round++) {
    KINDS.forEach(({ kind, shape, missing }, k) => {
      const jaw: Jaw = (round + k) % 2 === 0 ? 'lower' : 'upper';
      const gone = missing ? [missing(jaw)] : [];
      const triangles =
        round === 6 && k === 2 ? 800_000 : round === 5 && k < 2 ? 400_000 : 80_000 + 10_000 * k;
      out.push({
        kind,
        missing: gone,
        recipe: {
          jaw,
          seed: 9000 + 10 * round + k,
          pose: 'any',
          noiseMm: [0, 0.01, 0.02, 0.03][(round + k) % 4],
          bridgedContacts: round % 3 !== 2,
          triangles,
          ...shape,
          ...(missing ? { missing: gone.map((tooth) => ({ tooth, space: 'open' as const })) } : {}),
        },
      });
    });
  }
  return out;
}

/** Proposes and measures one generated arch and holds it against its truth. */
export function proposedArch(kind: string, recipe: ArchRecipe, missing: readonly Tooth[]): ProposedArch {
  const arch = makeArch(recipe);
  const mesh = makeMesh(arch.mesh.positions, arch.mesh.indices);
  const { frame } = findArchFrame(mesh);
  const said = { missing, unerupted: [], thirdMolars: [] };
  const proposal = proposeMarks(surfaceIndex(mesh), frame, recipe.jaw, said);
  const measures = measureArch({
    jaw: recipe.jaw,
    frame,
    marks: proposal.marks,
    missing,
    enteredWidths: [],
    form: 'spline',
    markSdMm: 0.07,
    medianEdgeMm: 0.25,
  });
  const { truth } = arch;
  const { meanOverlap, leastOverlap } = overlap(arch, proposal.crowns);
  return {
    name: `${recipe.jaw} ${kind}, seed ${recipe.seed}`,
    kind,
    recipe,
    found: proposal.crowns.crowns.map((c) => c.tooth),
    present: truth.teeth.map((t) => t.tooth),
    tiltDeg: angleDeg(frame.occlusal, truth.frame.occlusal),
    turnDeg: angleDeg(frame.forward, truth.frame.forward),
    widths: widthErrors(arch, measures),
    lineErrorMm: (measures.line?.length.valueMm ?? Number.NaN) - truth.arch.contactLineLengthMm,
    irregularityErrorMm:
      truth.arch.irregularityMm === null
        ? null
        : (measures.irregularity?.valueMm ?? Number.NaN) - truth.arch.irregularityMm,
    balanceErrorMm: balanceMm(measures, missing) - truth.space.differenceMm,
    meanOverlap,
    leastOverlap,
  };
}

const balanceMm = (measures: ArchMeasures, missing: readonly Tooth[]): number =>
  spaceLedger({
    measures,
    chart: { missing, unerupted: [], enteredWidths: [] },
    perimeter: 'line',
    allowances: [],
    prediction: null,
    opposing: null,
  }).differenceMm ?? Number.NaN;

function widthErrors(arch: GeneratedArch, measures: ArchMeasures): ProposedArch['widths'] {
  return arch.truth.teeth.map(({ tooth, widthMm }) => {
    const own = measures.teeth.find((t) => t.tooth === tooth);
    return { tooth, errorMm: (own?.widthMm ?? Number.NaN) - widthMm, sdMm: own?.sdMm ?? Number.NaN };
  });
}

function overlap(arch: GeneratedArch, crowns: CrownMap): { meanOverlap: number; leastOverlap: number } {
  const shares = arch.truth.teeth.map(({ tooth }) => {
    const k = crowns.crowns.findIndex((c) => c.tooth === tooth) + 1;
    let [both, either] = [0, 0];
    for (let f = 0; f < arch.labels.length; f++) {
      const found = k > 0 && crowns.faceCrown[f] === k;
      const labelled = arch.labels[f] === tooth;
      if (found && labelled) both++;
      if (found || labelled) either++;
    }
    return both / Math.max(1, either);
  });
  return {
    meanOverlap: shares.reduce((a, b) => a + b, 0) / shares.length,
    leastOverlap: Math.min(...shares),
  };
}

const angleDeg = (a: Vec3, b: Vec3): number =>
  (Math.acos(Math.max(-1, Math.min(1, dot(a, b)))) * 180) / Math.PI;

export const rms = (values: readonly number[]): number =>
  Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / Math.max(1, values.length));

/** The value that a share of the sizes stays within. */
export function within(values: readonly number[], share: number): number {
  const sizes = values.map(Math.abs).sort((a, b) => a - b);
  return sizes[Math.min(sizes.length - 1, Math.ceil(share * sizes.length) - 1)];
}
