import { type ArchFrame, pointInArch } from '../arch/ArchFrame.ts';
import { Refusal } from '../base/refusal.ts';
import { jawOf, type Tooth } from '../base/tooth.ts';
import type { Vec2, Vec3 } from '../base/Vec3.ts';
import { type ArchCourse, archCourse } from '../crowns/archCourse.ts';
import type { ScanMesh } from '../scan/ScanMesh.ts';
import { middlingTangent } from './localDirections.ts';

const MOST_POINTS = 12_000;
const CHORD_STEPS = 16; // of the course, each side: 4 mm, so that one turned crown does not bend the tangent
const FARTHEST_MM = 12;

/** The course last asked of each scan, kept because every click on it asks again; a pure function of scan and frame. */
const courses = new WeakMap<ScanMesh, { frame: ArchFrame; course: ArchCourse | null }>();

function courseOf(mesh: ScanMesh, frame: ArchFrame): ArchCourse | null {
  const known = courses.get(mesh);
  if (known && known.frame === frame) return known.course;
  const vertexCount = mesh.positions.length / 3;
  const stride = Math.max(1, Math.floor(vertexCount / MOST_POINTS));
  const points = new Float32Array(Math.floor(vertexCount / stride) * 3);
  for (let i = 0; i < points.length; i += 3) {
    const v = (i / 3) * stride * 3;
    points.set(pointInArch(frame, [mesh.positions[v], mesh.positions[v + 1], mesh.positions[v + 2]]), i);
  }
  let course: ArchCourse | null = null;
  try {
    course = archCourse(points);
  } catch (error) {
    if (!(error instanceof Refusal)) throw error;
    // No course on this surface (part of an arch, a frame far off): a middling arch serves instead.
  }
  courses.set(mesh, { frame, course });
  return course;
}

/**
 * Right-to-left direction of the arch at a point, [x, y] of the arch frame, unit: along the middle of the
 * crowns where they can be found, else of a middling arch.
 */
export function archTangent(mesh: ScanMesh, frame: ArchFrame, tooth: Tooth, pointMm: Vec3): Vec2 {
  const course = courseOf(mesh, frame);
  const [x, y] = pointInArch(frame, pointMm);
  if (!course) return middlingTangent(frame, tooth, pointMm);
  const { pointsMm } = course;
  let nearest = 0;
  let least = Infinity;
  pointsMm.forEach(([px, py], i) => {
    const d = Math.hypot(px - x, py - y);
    if (d < least) [least, nearest] = [d, i];
  });
  if (least > FARTHEST_MM) return middlingTangent(frame, tooth, pointMm);
  const a = pointsMm[Math.max(0, nearest - CHORD_STEPS)];
  const b = pointsMm[Math.min(pointsMm.length - 1, nearest + CHORD_STEPS)];
  const l = Math.hypot(b[0] - a[0], b[1] - a[1]);
  // The course runs from −x to +x: right to left in an upper arch, left to right in a lower.
  const s = (jawOf(tooth) === 'upper' ? 1 : -1) / l;
  return [s * (b[0] - a[0]), s * (b[1] - a[1])];
}
