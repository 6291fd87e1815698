import type { Projector } from './eye';
import { add, cross, normalize, scale, sideways, type V3 } from './geometry';

/** So long a step on the surface is looked at, metres. */
const STEP_M = 0.01;
/** A surface seen so nearly from its edge (sine of the angle, about) has no two directions on the picture. */
const EDGE_ON = 0.02;

/**
 * The way along a surface that goes straight towards (`right`, `down`) on the picture: a unit vector in the room, in the
 * plane through `at` with `normal`. Where the surface is seen from its edge, the way along it that comes nearest. `null`
 * for a place behind the eye, or when no way along the surface shows on the picture.
 */
export function alongScreen(view: Projector, at: V3, normal: V3, right: number, down: number): V3 | null {
  const facing = normalize(normal);
  const u = sideways(facing);
  const v = cross(facing, u);
  const here = view.project(at);
  const a = view.project(add(at, scale(u, STEP_M)));
  const b = view.project(add(at, scale(v, STEP_M)));
  if (!here.front || !a.front || !b.front) return null;
  const ax = a.x - here.x;
  const ay = a.y - here.y;
  const bx = b.x - here.x;
  const by = b.y - here.y;
  const area = ax * by - ay * bx;
  const seen = Math.max(ax * ax + ay * ay, bx * bx + by * by);
  if (!(seen > 1e-12)) return null;
  let p = ax * right + ay * down;
  let q = bx * right + by * down;
  if (Math.abs(area) > EDGE_ON * seen) {
    p = (by * right - bx * down) / area;
    q = (ax * down - ay * right) / area;
  }
  const size = Math.hypot(p, q);
  return size > 1e-9 ? normalize(add(scale(u, p / size), scale(v, q / size))) : null;
}
