import { isTooth, jawOf, positionOf } from '../core/base/tooth.ts';
import { cross, normalize } from '../core/base/Vec3.ts';
import type { ArchRecipe, FullRecipe } from './ArchRecipe.ts';
import { makeArchField, WEB_MM } from './archField.ts';
import { archTruth } from './archTruth.ts';
import { type Arrangement, arrangeTeeth } from './arrangeTeeth.ts';
import { finishMesh, vertexNormals } from './finishMesh.ts';
import { makeGumField } from './gumField.ts';
import { type Pose, posed } from './Pose.ts';
import { polygonize } from './polygonize.ts';
import { makeRandom } from './random.ts';
import type { SampleTruth } from './sampleTruth.ts';
import { makeSpatialNoise } from './scannerNoise.ts';

/** A generated arch: the scan-like mesh, whose tooth each face is, and what is exactly true of it. */
export interface GeneratedArch {
  readonly mesh: {
    readonly positions: Float32Array; // 3 per vertex, mm, scan frame
    readonly indices: Uint32Array; // 3 per face, counter-clockwise from outside
  };
  readonly labels: Uint8Array; // per face: ISO 3950 tooth, 0 gum
  readonly truth: SampleTruth;
  readonly arrangement: Arrangement; // the exact crowns, for checks by a second way
}

/** Fills a recipe's open fields; throws on what cannot be built. */
export function fullRecipe(recipe: ArchRecipe): FullRecipe {
  const full: FullRecipe = {
    jaw: recipe.jaw,
    seed: recipe.seed,
    crowdingMm: recipe.crowdingMm ?? 0,
    spacingMm: recipe.spacingMm ?? 0,
    gaps: recipe.gaps ?? [],
    rotationsDeg: recipe.rotationsDeg ?? {},
    displacementsMm: recipe.displacementsMm ?? {},
    missing: recipe.missing ?? [],
    widthFactor: recipe.widthFactor ?? 1,
    noiseMm: recipe.noiseMm ?? 0.01,
    bridgedContacts: recipe.bridgedContacts ?? true,
    pose: recipe.pose ?? 'upright',
    triangles: recipe.triangles ?? 100_000,
    gumMm: recipe.gumMm ?? 5,
  };
  const within = (name: string, value: number, low: number, high: number) => {
    if (!(value >= low && value <= high))
      throw new Error(`makeArch: ${name} is out of range; got ${value}, need ${low} to ${high}.`);
  };
  if (!Number.isInteger(full.seed))
    throw new Error(`makeArch: seed must be a whole number; got ${full.seed}.`);
  within('crowdingMm', full.crowdingMm, 0, 12);
  within('spacingMm', full.spacingMm, 0, 15);
  within('widthFactor', full.widthFactor, 0.8, 1.2);
  within('noiseMm', full.noiseMm, 0, 0.03);
  within('triangles', full.triangles, 20_000, 1_000_000);
  within('gumMm', full.gumMm, 2, 10);
  for (const { tooth } of full.missing)
    if (!isTooth(tooth) || jawOf(tooth) !== full.jaw || positionOf(tooth) > 5)
      throw new Error(
        `makeArch: missing tooth ${tooth}; need an incisor, canine or premolar of the ${full.jaw} jaw.`,
      );
  return full;
}

/** Where the scan frame puts the arch: the patient's upright (x right, y forward, z up), or any pose drawn from the seed. */
function drawPose(recipe: FullRecipe): Pose {
  if (recipe.pose === 'upright')
    return recipe.jaw === 'lower'
      ? { x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1], originMm: [0, 0, 0] }
      : { x: [-1, 0, 0], y: [0, 1, 0], z: [0, 0, -1], originMm: [0, 0, 0] };
  const random = makeRandom(recipe.seed, 'pose');
  const z = normalize([random.normal(), random.normal(), random.normal()]);
  const y = normalize(cross(z, [random.normal(), random.normal(), random.normal() + 0.01]));
  const between = () => random.between(-60, 60);
  return { x: cross(y, z), y, z, originMm: [between(), between(), between()] };
}

// The triangle count goes with 1 / step² but for a few parts in a hundred, which small crests and clefts add
// as the grid grows finer; measured 25,000 to 800,000 triangles.
const COARSE_MM = 0.9;
const FINER_ADDS = 1.06;
const ROUNDS = 3;

/**
 * Makes an arch from a recipe: sizes and form from the seed, teeth packed crown on crown along the line, gum
 * laid round them, meshed like a scan. The same recipe gives the same bytes.
 *
 * Units:    mm, scan frame.
 * Accuracy: truth is that of the exact crowns (1e-4 mm); required − available = crowding − spaces to 1e-9 —
 *           tests/samples/makeArch.test.ts.
 * Source:   our own construction; sizes as cited in toothSizes.ts.
 */
export function makeArch(recipe: ArchRecipe, name: string | null = null): GeneratedArch {
  const full = fullRecipe(recipe);
  const arrangement = arrangeTeeth(full);
  const { teeth } = arrangement;
  const gum = makeGumField(teeth, full.jaw, full.seed, full.gumMm);
  const field = makeArchField(teeth, gum, full.bridgedContacts ? WEB_MM.bridged : WEB_MM.open);
  const start = teeth[Math.floor(teeth.length / 2)];
  const from = start.toArch([0, 0, start.crown.heightMm]);
  const coarse = polygonize(field, field.box(COARSE_MM), from).indices.length / 3;
  const stepMm = COARSE_MM * Math.sqrt((FINER_ADDS * coarse) / full.triangles);
  const mesh = finishMesh(polygonize(field, field.box(stepMm), from), field, stepMm, ROUNDS);

  const { positions, indices } = mesh;
  const owners = new Uint8Array(positions.length / 3);
  for (let v = 0; v < owners.length; v++)
    owners[v] = field.owner(positions[v * 3], positions[v * 3 + 1], positions[v * 3 + 2]);
  const labels = new Uint8Array(indices.length / 3);
  for (let f = 0; f < labels.length; f++) {
    const [a, b, c] = [owners[indices[f * 3]], owners[indices[f * 3 + 1]], owners[indices[f * 3 + 2]]];
    labels[f] = b === c ? b : a; // two of three, else the first
  }

  const pose = drawPose(full);
  const noise = makeSpatialNoise(full.seed);
  const normals = vertexNormals(mesh);
  const scan = new Float32Array(positions.length);
  for (let o = 0; o < positions.length; o += 3) {
    const [x, y, z] = [positions[o], positions[o + 1], positions[o + 2]];
    const d = full.noiseMm === 0 ? 0 : full.noiseMm * noise(x, y, z);
    scan.set(posed(pose, [x + d * normals[o], y + d * normals[o + 1], z + d * normals[o + 2]]), o);
  }
  return {
    mesh: { positions: scan, indices },
    labels,
    truth: archTruth(full, arrangement, pose, name),
    arrangement,
  };
}
