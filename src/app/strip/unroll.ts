import type { Vec2 } from '../../core/base/Vec3.ts';

/** A point told along and across a line: `alongMm` from the line's start, `outMm` positive outward (labial, buccal). */
export interface Unrolled {
  readonly alongMm: number;
  readonly outMm: number;
}

/**
 * Unrolls points of the occlusal plane along a polyline. Before its start and past its end the line is
 * carried on straight. `outward` is the plane direction that counts as outward at the middle of the line.
 */
export function unroller(line: readonly Vec2[], outward: Vec2): (point: Vec2) => Unrolled {
  const starts: number[] = [0];
  for (let i = 1; i < line.length; i++)
    starts.push(starts[i - 1] + Math.hypot(line[i][0] - line[i - 1][0], line[i][1] - line[i - 1][1]));
  const middle = Math.floor((line.length - 1) / 2);
  const dx = line[middle + 1][0] - line[middle][0];
  const dy = line[middle + 1][1] - line[middle][1];
  const side = -dy * outward[0] + dx * outward[1] >= 0 ? 1 : -1;

  return ([px, py]) => {
    let best: Unrolled = { alongMm: 0, outMm: 0 };
    let nearest = Number.POSITIVE_INFINITY;
    for (let i = 1; i < line.length; i++) {
      const [ax, ay] = line[i - 1];
      const ux = line[i][0] - ax;
      const uy = line[i][1] - ay;
      const lengthMm = Math.hypot(ux, uy);
      if (lengthMm === 0) continue;
      const from = i === 1 ? Number.NEGATIVE_INFINITY : 0;
      const to = i === line.length - 1 ? Number.POSITIVE_INFINITY : 1;
      const t = ((px - ax) * ux + (py - ay) * uy) / (lengthMm * lengthMm);
      const held = Math.min(to, Math.max(from, t));
      const ex = px - (ax + ux * held);
      const ey = py - (ay + uy * held);
      const away = Math.hypot(ex, ey);
      if (away >= nearest) continue;
      nearest = away;
      const across = ((-uy * ex + ux * ey) / lengthMm) * side;
      best = {
        alongMm: starts[i - 1] + held * lengthMm,
        outMm: Math.abs(across) > 1e-9 ? Math.sign(across) * away : 0,
      };
    }
    return best;
  };
}
