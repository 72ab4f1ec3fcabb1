import type { Page } from '@playwright/test';
import type { TestingSeam } from '../../src/app/scene/testingSeam.ts';
import type { Vec3 } from '../../src/core/base/Vec3.ts';

// Where an eye that knows a point would click: stories find it through the page's read-only seam.

export type SeamWindow = { archledger?: TestingSeam };

export const pixelOf = (page: Page, pointMm: Vec3) =>
  page.evaluate((p) => (window as SeamWindow).archledger?.project(p) ?? null, pointMm);

/** Where a point shows once the camera stands still. */
export async function settledPixel(page: Page, pointMm: Vec3) {
  let before = await pixelOf(page, pointMm);
  for (let i = 0; i < 60; i++) {
    await page.evaluate(
      () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))),
    );
    const now = await pixelOf(page, pointMm);
    if (now && before && Math.hypot(now.x - before.x, now.y - before.y) < 0.01) return now;
    before = now;
  }
  throw new Error('the camera does not come to rest');
}

/** Pixels per mm of the picture now: three perpendicular mm project to √2 of one, squared and summed. */
export async function pixelsPerMm(page: Page, pointMm: Vec3): Promise<number> {
  const at = await pixelOf(page, pointMm);
  let sum = 0;
  for (const axis of [0, 1, 2]) {
    const moved = pointMm.map((value, k) => (k === axis ? value + 1 : value)) as unknown as Vec3;
    const there = await pixelOf(page, moved);
    if (!at || !there) throw new Error('nothing is shown');
    sum += (there.x - at.x) ** 2 + (there.y - at.y) ** 2;
  }
  return Math.sqrt(sum / 2);
}

export interface Aim {
  readonly x: number;
  readonly y: number;
  readonly offMm: number; // from the surface there to the true point
}

/**
 * The pixel whose surface lies nearest to a point, as an eye finds it: the point itself where it can be seen, else
 * the nearest place on the web a scanner leaves over touching crowns.
 */
async function aimAt(page: Page, pointMm: Vec3): Promise<Aim> {
  await settledPixel(page, pointMm);
  const stepPx = (await pixelsPerMm(page, pointMm)) * 0.1;
  const aim = await page.evaluate(
    ([p, step]) => {
      const seam = (window as SeamWindow).archledger;
      const middle = seam?.project(p);
      if (!seam || !middle) return null;
      let best: { x: number; y: number; offMm: number } | null = null;
      for (let i = -16; i <= 16; i++) {
        for (let j = -16; j <= 16; j++) {
          const x = middle.x + i * step;
          const y = middle.y + j * step;
          if (document.elementFromPoint(x, y)?.tagName !== 'CANVAS') continue;
          const hit = seam.surfaceAt(x, y);
          if (!hit) continue;
          const offMm = Math.hypot(hit[0] - p[0], hit[1] - p[1], hit[2] - p[2]);
          if (!best || offMm < best.offMm) best = { x, y, offMm };
        }
      }
      return best;
    },
    [pointMm, stepPx] as const,
  );
  if (!aim) throw new Error('no surface near the point can be clicked in this view');
  return aim;
}

/** Turns of the picture by the stage's keys that a user tries where the place is badly seen. */
const TURNS: readonly (readonly string[])[] = [[], ['s', 's'], ['w', 'w', 'w', 'w', 'w', 'w']];
export const WELL_SEEN_MM = 0.3;

/** Aims at a point from the side it is seen best from. */
export async function bestAim(page: Page, pointMm: Vec3): Promise<Aim> {
  const turn = async (keys: readonly string[]): Promise<Aim> => {
    await page.keyboard.press('c');
    for (const key of keys) await page.keyboard.press(key);
    return aimAt(page, pointMm);
  };
  let best = { aim: await aimAt(page, pointMm), keys: TURNS[0] };
  let standing = TURNS[0];
  for (const keys of TURNS.slice(1)) {
    if (best.aim.offMm < WELL_SEEN_MM) break;
    const aim = await turn(keys);
    standing = keys;
    if (aim.offMm < best.aim.offMm - 0.1) best = { aim, keys };
  }
  return standing === best.keys ? best.aim : turn(best.keys);
}

/** Half the step by which the keys move the picture: a point this near the cross cannot be brought nearer. */
const HALF_STEP_PX = 30;
const NEAR_PX_PER_MM = 40;

/**
 * Brings a point under the cross as a hand at the keys does: the picture is moved by steps and enlarged, then Enter
 * places the mark. The first Enter of all shows the cross. The stage has the focus.
 */
export async function placeByKeys(
  page: Page,
  pointMm: Vec3,
  isPlaced: () => Promise<boolean>,
): Promise<void> {
  const canvas = await page.locator('canvas').first().boundingBox();
  if (!canvas) throw new Error('there is no picture');
  const [x, y] = [canvas.x + canvas.width / 2, canvas.y + canvas.height / 2];
  const centre = async (): Promise<void> => {
    for (let step = 0; step < 20; step++) {
      const at = await settledPixel(page, pointMm);
      const [dx, dy] = [at.x - x, at.y - y];
      if (Math.abs(dx) <= HALF_STEP_PX && Math.abs(dy) <= HALF_STEP_PX) return;
      if (Math.abs(dx) > HALF_STEP_PX) await page.keyboard.press(dx > 0 ? 'Shift+D' : 'Shift+A');
      if (Math.abs(dy) > HALF_STEP_PX) await page.keyboard.press(dy > 0 ? 'Shift+S' : 'Shift+W');
    }
    throw new Error('the point cannot be brought under the cross');
  };
  await centre();
  while ((await pixelsPerMm(page, pointMm)) < NEAR_PX_PER_MM) {
    await page.keyboard.press('+');
    await centre();
  }
  for (let enter = 0; enter < 3; enter++) {
    await page.keyboard.press('Enter');
    await page.waitForTimeout(150);
    if (await isPlaced()) return;
  }
  throw new Error('no mark could be placed by keys');
}
