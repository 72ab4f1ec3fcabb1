import type { Tooth } from '../core/base/tooth.ts';
import type { GumField } from './gumField.ts';
import type { PlacedCrown } from './PlacedCrown.ts';
import type { Field, GridBox } from './polygonize.ts';

/** The arch as one field: crowns and gum joined; tells whose surface a point belongs to. */
export interface ArchField extends Field {
  /** The tooth whose crown is nearest at a surface point, 0 for gum. */
  owner(x: number, y: number, z: number): Tooth | 0;
  box(stepMm: number): GridBox;
}

const COLUMN_MM = 2;
const GUM_FILLET_MM = 0.22;
const REACH_MM = 1.2; // crowns farther than this from a column are not asked

/** Webs in narrow clefts, thickness over which two crowns flow together; mm. */
export const WEB_MM = { bridged: 0.55, open: 0.12 } as const;

export function makeArchField(placed: readonly PlacedCrown[], gum: GumField, webMm: number): ArchField {
  const nx = Math.ceil((gum.max[0] - gum.min[0]) / COLUMN_MM) + 1;
  const ny = Math.ceil((gum.max[1] - gum.min[1]) / COLUMN_MM) + 1;
  const columns: number[][] = Array.from({ length: nx * ny }, () => []);
  let highest = -1e3;
  placed.forEach((p, index) => {
    const [ru, rv] = p.crown.reachMm;
    let [x0, x1, y0, y1] = [1e3, -1e3, 1e3, -1e3];
    for (let k = 0; k < 8; k++) {
      const [x, y, z] = p.toArch([
        k & 1 ? ru : -ru,
        k & 2 ? rv : -rv,
        k & 4 ? p.crown.heightMm : p.crown.floorMm,
      ]);
      [x0, x1] = [Math.min(x0, x), Math.max(x1, x)];
      [y0, y1] = [Math.min(y0, y), Math.max(y1, y)];
      highest = Math.max(highest, z);
    }
    const from = (v: number, min: number) => Math.floor((v - REACH_MM - min) / COLUMN_MM);
    const to = (v: number, min: number) => Math.floor((v + REACH_MM - min) / COLUMN_MM);
    for (let j = Math.max(from(y0, gum.min[1]), 0); j <= Math.min(to(y1, gum.min[1]), ny - 1); j++)
      for (let i = Math.max(from(x0, gum.min[0]), 0); i <= Math.min(to(x1, gum.min[0]), nx - 1); i++)
        columns[j * nx + i].push(index);
  });
  const columnAt = (x: number, y: number): readonly number[] => {
    const i = Math.min(Math.max(Math.floor((x - gum.min[0]) / COLUMN_MM), 0), nx - 1);
    const j = Math.min(Math.max(Math.floor((y - gum.min[1]) / COLUMN_MM), 0), ny - 1);
    return columns[j * nx + i];
  };
  const g = new Float64Array(3);
  const gumDistance = (x: number, y: number, z: number): number => {
    gum.read(x, y, g);
    return (z - g[0]) / Math.sqrt(1 + g[1] * g[1] + g[2] * g[2]);
  };
  return {
    value(x, y, z) {
      let first = 1e3;
      let second = 1e3;
      for (const index of columnAt(x, y)) {
        const d = placed[index].distance(x, y, z);
        if (d < first) {
          second = first;
          first = d;
        } else if (d < second) second = d;
      }
      let f = first;
      const web = webMm - (second - first);
      if (web > 0) f -= (web * web) / (4 * webMm);
      const d = gumDistance(x, y, z);
      const fillet = GUM_FILLET_MM - Math.abs(f - d);
      return Math.min(f, d) - (fillet > 0 ? (fillet * fillet) / (4 * GUM_FILLET_MM) : 0);
    },
    inside: (x, y) => gum.beyond(x, y) < 0,
    owner(x, y, z) {
      let least = gumDistance(x, y, z);
      let owner: Tooth | 0 = 0;
      for (const index of columnAt(x, y)) {
        const d = placed[index].distance(x, y, z);
        if (d < least) {
          least = d;
          owner = placed[index].tooth;
        }
      }
      return owner;
    },
    box: (stepMm) => ({
      min: [gum.min[0], gum.min[1], gum.lowestMm - 1.5],
      max: [gum.max[0], gum.max[1], highest + 1],
      stepMm,
    }),
  };
}
