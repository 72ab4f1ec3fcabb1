import { beforeAll, describe, expect, it } from 'vitest';
import { findArchFrame } from '../../../src/core/arch/findArchFrame.ts';
import { type Jaw, positionOf, type Tooth } from '../../../src/core/base/tooth.ts';
import { distance } from '../../../src/core/base/Vec3.ts';
import { proposeMarks } from '../../../src/core/marks/proposeMarks.ts';
import type { ScanMesh } from '../../../src/core/scan/ScanMesh.ts';
import { surfaceIndex } from '../../../src/core/scan/surfaceIndex.ts';
import { makeArch } from '../../../src/samples/makeArch.ts';
import { makeMesh } from '../../support/meshes.ts';
import {
  type ProposedArch,
  proposalRecipes,
  proposedArch,
  rms,
  within,
} from '../../support/proposeExperiment.ts';

const WHOLE = { missing: [], unerupted: [], thirdMolars: [] };

/** Proposed widths by tooth, mm. */
function widthsOf(mesh: ScanMesh, jaw: Jaw): ReadonlyMap<Tooth, number> {
  const { frame } = findArchFrame(mesh);
  const { marks } = proposeMarks(surfaceIndex(mesh), frame, jaw, WHOLE);
  const out = new Map<Tooth, number>();
  for (const mesial of marks.filter((m) => m.site === 'mesial')) {
    const distal = marks.find((m) => m.tooth === mesial.tooth && m.site === 'distal');
    if (distal) out.set(mesial.tooth, distance(mesial.pointMm, distal.pointMm));
  }
  return out;
}

// Generated arches have exact truth and share no shape code with the engine; real ones are in tests/core/crowns.
describe('forty-two generated arches proposed without a click', () => {
  let arches: readonly ProposedArch[] = [];
  beforeAll(() => {
    arches = proposalRecipes().map(({ kind, recipe, missing }) => proposedArch(kind, recipe, missing));
  }, 600_000);

  it('finds and rightly names every tooth that is there', () => {
    for (const arch of arches) expect([...arch.found].sort(), arch.name).toEqual([...arch.present].sort());
  });

  it('stands every arch upright within 5 degrees', () => {
    for (const arch of arches) {
      expect(arch.tiltDeg, arch.name).toBeLessThan(5);
      expect(arch.turnDeg, arch.name).toBeLessThan(5);
    }
  });

  it('measures widths: RMS 0.15 mm, 95 % within 0.30 mm', () => {
    const errors = arches.flatMap((arch) => arch.widths.map((w) => w.errorMm));
    console.info(
      `widths n ${errors.length}, RMS ${rms(errors).toFixed(3)}, 95 % ${within(errors, 0.95).toFixed(3)}, worst ${within(errors, 1).toFixed(3)} mm`,
    );
    expect(rms(errors)).toBeLessThan(0.15);
    expect(within(errors, 0.95)).toBeLessThan(0.3);
  });

  it('proposes no kind of tooth narrow or wide by more than 0.085 mm on average', () => {
    const kinds = arches.flatMap(({ recipe, widths }) =>
      widths.map(({ tooth, errorMm }) => ({ kind: `${recipe.jaw} ${positionOf(tooth)}`, errorMm })),
    );
    const means = [...new Set(kinds.map((w) => w.kind))].sort().map((kind) => {
      const own = kinds.filter((w) => w.kind === kind);
      return { kind, meanMm: own.reduce((sum, w) => sum + w.errorMm, 0) / own.length };
    });
    console.info(means.map(({ kind, meanMm }) => `${kind} ${meanMm.toFixed(3)}`).join(', '));
    for (const { kind, meanMm } of means) expect(Math.abs(meanMm), kind).toBeLessThan(0.085);
  });

  it('states a standard deviation that the errors bear out', () => {
    const shares = arches.flatMap((arch) => arch.widths.map((w) => Math.abs(w.errorMm) / w.sdMm));
    const inside = (k: number) => shares.filter((s) => s <= k).length / shares.length;
    console.info(
      `truths inside 1 SD ${(100 * inside(1)).toFixed(0)} %, inside 2 SD ${(100 * inside(2)).toFixed(0)} %`,
    );
    expect(inside(1)).toBeGreaterThan(0.6);
    expect(inside(1)).toBeLessThan(0.9);
    expect(inside(2)).toBeGreaterThan(0.93);
  });

  it('measures the arch line within 0.7 mm', () => {
    const errors = arches.map((arch) => arch.lineErrorMm);
    console.info(`arch line RMS ${rms(errors).toFixed(2)}, worst ${within(errors, 1).toFixed(2)} mm`);
    expect(rms(errors)).toBeLessThan(0.35);
    expect(within(errors, 1)).toBeLessThan(0.7);
  });

  it('balances the space account within 1.2 mm; unreviewed, it reads too generous by up to 0.6 mm', () => {
    const meanOf = (crowded: boolean) => {
      const errors = arches.filter((a) => !!a.recipe.crowdingMm === crowded).map((a) => a.balanceErrorMm);
      console.info(
        `balance, crowded ${crowded}: RMS ${rms(errors).toFixed(2)}, worst ${within(errors, 1).toFixed(2)} mm`,
      );
      expect(within(errors, 1)).toBeLessThan(1.2);
      return errors.reduce((sum, e) => sum + e, 0) / errors.length;
    };
    expect(Math.abs(meanOf(true))).toBeLessThan(0.45);
    expect(Math.abs(meanOf(false))).toBeLessThan(0.6);
  });

  it('measures irregularity within 1 mm up to 4 mm of crowding', () => {
    const errors = arches.flatMap((arch) =>
      (arch.recipe.crowdingMm ?? 0) <= 4 && arch.irregularityErrorMm !== null
        ? [arch.irregularityErrorMm]
        : [],
    );
    console.info(
      `irregularity n ${errors.length}, RMS ${rms(errors).toFixed(2)}, worst ${within(errors, 1).toFixed(2)} mm`,
    );
    expect(within(errors, 1)).toBeLessThan(1);
  });
});

describe('laws of proposals', () => {
  const recipe = { jaw: 'lower', seed: 77, crowdingMm: 2, triangles: 80_000 } as const;
  const arch = makeArch(recipe);
  const mesh = makeMesh(arch.mesh.positions, arch.mesh.indices);
  const plain = widthsOf(mesh, 'lower');

  const worstChange = (other: ReadonlyMap<Tooth, number>, partner: (tooth: Tooth) => Tooth = (t) => t) =>
    Math.max(...[...plain].map(([tooth, width]) => Math.abs((other.get(partner(tooth)) ?? 99) - width)));

  // Rounding moves a few border nodes from one crown to the next: 0.12 mm is 1.5 SD of one proposed width.
  it('the order of faces changes no width by more than 0.12 mm', () => {
    const faces = mesh.indices.length / 3;
    const indices = Uint32Array.from(mesh.indices, (_, i) => {
      const face = (Math.floor(i / 3) * 7919) % faces;
      return mesh.indices[3 * face + (i % 3)];
    });
    expect(worstChange(widthsOf(makeMesh(mesh.positions, indices), 'lower'))).toBeLessThan(0.12);
  });

  it('a moved and turned scan gives the same widths', () => {
    const [c, s] = [Math.cos(0.9), Math.sin(0.9)];
    const moved = mesh.positions.slice();
    for (let i = 0; i < moved.length; i += 3) {
      const [x, y, z] = mesh.positions.subarray(i, i + 3);
      moved.set([c * x - s * z + 40, y - 25, s * x + c * z + 7], i);
    }
    expect(worstChange(widthsOf(makeMesh(moved, mesh.indices), 'lower'))).toBeLessThan(0.12);
  });

  it('a mirrored scan gives the widths of the other side', () => {
    const mirrored = mesh.positions.map((v, i) => (i % 3 === 0 ? -v : v));
    const indices = mesh.indices.slice();
    for (let i = 0; i < indices.length; i += 3)
      [indices[i + 1], indices[i + 2]] = [indices[i + 2], indices[i + 1]];
    const swapped = (tooth: Tooth) => (tooth >= 40 ? tooth - 10 : tooth + 10);
    expect(worstChange(widthsOf(makeMesh(mirrored, indices), 'lower'), swapped)).toBeLessThan(0.12);
  });

  it('three times as many triangles change widths by no more than the accuracy stated', () => {
    const fine = makeArch({ ...recipe, triangles: 240_000 });
    const other = widthsOf(makeMesh(fine.mesh.positions, fine.mesh.indices), 'lower');
    expect(rms([...plain].map(([tooth, width]) => (other.get(tooth) ?? 99) - width))).toBeLessThan(0.1);
  });
});
