import { existsSync, statSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright';
import { occlusalPicture } from '../../src/app/print/occlusalPicture.ts';
import { pointInArch } from '../../src/core/arch/ArchFrame.ts';
import { findArchFrame } from '../../src/core/arch/findArchFrame.ts';
import type { Tooth } from '../../src/core/base/tooth.ts';
import type { Vec2, Vec3 } from '../../src/core/base/Vec3.ts';
import { proposeMarks } from '../../src/core/marks/proposeMarks.ts';
import { surfaceIndex } from '../../src/core/scan/surfaceIndex.ts';
import { makeArch } from '../../src/samples/makeArch.ts';
import { makeMesh } from '../support/meshes.ts';
import { type ProposedArch, proposalRecipes, proposedArch } from '../support/proposeExperiment.ts';

// Draws the worst cases of the accuracy table's generated arches, proposed points over true ones, into
// pictures/worst.jpg. Run: npx tsx tests/accuracy/worstPictures.ts

const PATH = fileURLToPath(new URL('./pictures/worst.jpg', import.meta.url));
const CHROMIUM = process.env.ARCHLEDGER_CHROMIUM ?? '/usr/bin/chromium';
const PANEL_PX = 440;
const CLOSE_MM = 15; // height of a close-up
const MOST_BYTES = 400_000;

interface Case {
  readonly arch: ProposedArch;
  readonly tooth: Tooth | null; // null: the whole arch
  readonly words: string;
}

const signed = (mm: number): string => `${mm < 0 ? '−' : '+'}${Math.abs(mm).toFixed(2)} mm`;

/** The four widths farthest off, each of another arch, and the arches whose irregularity and line are. */
function worstCases(arches: readonly ProposedArch[]): readonly Case[] {
  const off = (x: number | null): number => Math.abs(x ?? 0);
  const worstOf = (of: (arch: ProposedArch) => number): ProposedArch =>
    arches.reduce((worst, arch) => (of(arch) > of(worst) ? arch : worst));
  const widths = arches
    .map((arch) => ({ arch, ...[...arch.widths].sort((a, b) => off(b.errorMm) - off(a.errorMm))[0] }))
    .sort((a, b) => off(b.errorMm) - off(a.errorMm))
    .slice(0, 4)
    .map(({ arch, tooth, errorMm, sdMm }) => ({
      arch,
      tooth,
      words: `${tooth}, width ${signed(errorMm)}, SD said ${sdMm.toFixed(2)}`,
    }));
  const crooked = worstOf((arch) => (arch.kind.includes('6') ? 0 : off(arch.irregularityErrorMm)));
  const line = worstOf((arch) => off(arch.lineErrorMm));
  return [
    ...widths,
    { arch: crooked, tooth: null, words: `irregularity ${signed(crooked.irregularityErrorMm ?? 0)}` },
    { arch: line, tooth: null, words: `arch line ${signed(line.lineErrorMm)}` },
  ];
}

/** One case as a drawing: the scan from above, true contact points as rings, proposed ones as dots. */
function panelOf({ arch: { recipe, kind, name }, tooth, words }: Case) {
  const made = makeArch(recipe);
  const mesh = makeMesh(made.mesh.positions, made.mesh.indices);
  const { frame } = findArchFrame(mesh);
  const missing = (recipe.missing ?? []).map((gone) => gone.tooth);
  const said = { missing, unerupted: [], thirdMolars: [] };
  const { marks } = proposeMarks(surfaceIndex(mesh), frame, recipe.jaw, said);
  const picture = occlusalPicture(mesh, frame, recipe.jaw, tooth === null ? 7 : 26);
  const turn = recipe.jaw === 'lower' ? -1 : 1;
  const onPaper = (pointMm: Vec3): Vec2 => {
    const [x, y] = pointInArch(frame, pointMm);
    return [turn * x, -turn * y];
  };
  const truths = made.truth.teeth.flatMap(({ tooth: of, mesialMm, distalMm }) => [
    { of, at: onPaper(mesialMm) },
    { of, at: onPaper(distalMm) },
  ]);
  const proposed = marks
    .filter(({ site }) => site === 'mesial' || site === 'distal')
    .map((mark) => ({ of: mark.tooth, at: onPaper(mark.pointMm) }));
  const own = truths.filter(({ of }) => of === tooth).map(({ at }) => at);
  const half = CLOSE_MM / 2;
  const box =
    own.length === 2
      ? [(own[0][0] + own[1][0]) / 2 - half, (own[0][1] + own[1][1]) / 2 - half, CLOSE_MM, CLOSE_MM]
      : [...picture.fromMm, ...picture.sizeMm];
  return {
    box,
    picture: { ...picture, pixels: Buffer.from(picture.pixels).toString('base64') },
    truths,
    proposed,
    tooth,
    words,
    of: `${recipe.jaw}, ${kind}, seed ${name.split('seed ')[1]}`,
  };
}

function markup({ box, picture, truths, proposed, tooth, words, of }: ReturnType<typeof panelOf>): string {
  const unit = Math.max(box[2], box[3]) / 100;
  const [x, y] = picture.fromMm;
  const [width, height] = picture.sizeMm;
  const isMeant = (one: Tooth): boolean => tooth === null || one === tooth;
  const rings = truths.map(
    (one) =>
      `<circle cx="${one.at[0]}" cy="${one.at[1]}" r="${1.5 * unit}" fill="none" stroke="#0b6e4f" stroke-width="${(isMeant(one.of) ? 0.6 : 0.3) * unit}"/>`,
  );
  const dots = proposed.map(
    (one) =>
      `<circle cx="${one.at[0]}" cy="${one.at[1]}" r="${0.8 * unit}" fill="#b3401a" opacity="${isMeant(one.of) ? 1 : 0.5}"/>`,
  );
  return `<figure><svg viewBox="${box.join(' ')}"><image x="${x}" y="${y}" width="${width}" height="${height}"/>
    ${rings.join('')}${dots.join('')}</svg><figcaption>${words}<br><small>${of}</small></figcaption></figure>`;
}

const arches = proposalRecipes().map(({ kind, recipe, missing }) => {
  console.error(`${kind}, seed ${recipe.seed}`);
  return proposedArch(kind, recipe, missing);
});
const panels = worstCases(arches).map(panelOf);
const browser = await chromium.launch({
  executablePath: existsSync(CHROMIUM) ? CHROMIUM : undefined,
  args: ['--no-sandbox'],
});
try {
  const page = await browser.newPage({ viewport: { width: 3 * PANEL_PX + 80, height: 2 * PANEL_PX + 190 } });
  await page.setContent(
    `<style>body{margin:20px;font:15px sans-serif;color:#1b2230;background:#faf8f3}
    main{display:grid;grid-template-columns:repeat(3,${PANEL_PX}px);gap:20px}
    figure{margin:0}svg{width:${PANEL_PX}px;height:${PANEL_PX}px;background:#efece3;display:block}
    figcaption{padding-top:6px;line-height:1.35}small{color:#4a5160}</style>
    <main>${panels.map(markup).join('')}</main>
    <p>Ring: true contact point. Dot: proposed. Close-ups are ${CLOSE_MM} mm high; patient’s right on the left.</p>`,
  );
  await page.evaluate(
    (pictures) => {
      for (const [i, image] of [...document.querySelectorAll('image')].entries()) {
        const { widthPx, heightPx, pixels } = pictures[i];
        const canvas = document.createElement('canvas');
        canvas.width = widthPx;
        canvas.height = heightPx;
        const bytes = Uint8ClampedArray.from(atob(pixels), (c) => c.charCodeAt(0));
        canvas.getContext('2d')!.putImageData(new ImageData(bytes, widthPx, heightPx), 0, 0);
        image.setAttribute('href', canvas.toDataURL());
      }
    },
    panels.map(({ picture }) => picture),
  );
  await page.waitForTimeout(500);
  await page.screenshot({ path: PATH, type: 'jpeg', quality: 86, fullPage: true });
  const bytes = statSync(PATH).size;
  console.log(`worst: ${Math.round(bytes / 1000)} kB`);
  if (bytes > MOST_BYTES) throw new Error(`worst: got ${bytes} bytes, need at most ${MOST_BYTES}.`);
} finally {
  await browser.close();
}
