import type { RoomView as Room } from '../wire.gen';

/** A point or vector in the room: metres, X right, Y away from the audience, Z up. */
export type V3 = [number, number, number];

export const add = (a: V3, b: V3): V3 => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const sub = (a: V3, b: V3): V3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const scale = (a: V3, k: number): V3 => [a[0] * k, a[1] * k, a[2] * k];
export const dot = (a: V3, b: V3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: V3, b: V3): V3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
export const length = (a: V3): number => Math.hypot(a[0], a[1], a[2]);
export const mix = (a: V3, b: V3, k: number): V3 => [
  a[0] + (b[0] - a[0]) * k,
  a[1] + (b[1] - a[1]) * k,
  a[2] + (b[2] - a[2]) * k,
];
export const clamp = (v: number, low: number, high: number): number => Math.min(high, Math.max(low, v));

export function normalize(a: V3): V3 {
  const l = length(a);
  return l > 1e-12 ? scale(a, 1 / l) : [0, 0, -1];
}

/** `v` turned by the quaternion `q` (x, y, z, w). */
export function rotate(q: readonly number[], v: V3): V3 {
  const u: V3 = [q[0] ?? 0, q[1] ?? 0, q[2] ?? 0];
  const w = q[3] ?? 1;
  const t = scale(cross(u, v), 2);
  return add(add(v, scale(t, w)), cross(u, t));
}

/** `v` turned back by the quaternion `q`. */
export function unrotate(q: readonly number[], v: V3): V3 {
  return rotate([-(q[0] ?? 0), -(q[1] ?? 0), -(q[2] ?? 0), q[3] ?? 1], v);
}

/** A unit vector square to `axis`, level where it can be. */
export function sideways(axis: V3): V3 {
  const side = cross(axis, [0, 0, 1]);
  return length(side) > 1e-3 ? normalize(side) : [1, 0, 0];
}

/** Where a ray lands. */
export type Hit = { at: V3; normal: V3; surface: string; t: number };

/**
 * Where a ray from inside or outside the room lands: platform tops and fronts, floor, ceiling and those walls that it
 * meets from the inside.
 */
export function hitRoom(room: Room, from: V3, along: V3): Hit | null {
  let best: Hit | null = null;
  const keep = (t: number, normal: V3, surface: string, inside: (p: V3) => boolean) => {
    if (!(t > 1e-4) || (best && t >= best.t)) return;
    const at = add(from, scale(along, t));
    if (inside(at)) best = { at, normal, surface, t };
  };
  const face = (axis: 0 | 1 | 2, value: number, normal: V3, surface: string, inside: (p: V3) => boolean) => {
    if (dot(along, normal) >= -1e-9) return;
    keep((value - from[axis]) / along[axis], normal, surface, inside);
  };
  const e = 1e-6;
  const onX = (p: V3, x: readonly number[]) => p[0] >= (x[0] ?? 0) - e && p[0] <= (x[1] ?? 0) + e;
  const onY = (p: V3, y: readonly number[]) => p[1] >= (y[0] ?? 0) - e && p[1] <= (y[1] ?? 0) + e;
  const onZ = (p: V3) => p[2] >= -e && p[2] <= room.height + e;
  face(2, 0, [0, 0, 1], 'floor', (p) => onX(p, room.x) && onY(p, room.y));
  face(2, room.height, [0, 0, -1], 'ceiling', (p) => onX(p, room.x) && onY(p, room.y));
  face(0, room.x[0], [1, 0, 0], 'left wall', (p) => onY(p, room.y) && onZ(p));
  face(0, room.x[1], [-1, 0, 0], 'right wall', (p) => onY(p, room.y) && onZ(p));
  face(1, room.y[1], [0, -1, 0], 'far wall', (p) => onX(p, room.x) && onZ(p));
  face(1, room.y[0], [0, 1, 0], 'near wall', (p) => onX(p, room.x) && onZ(p));
  for (const area of room.platforms) {
    const low = (p: V3) => p[2] >= -e && p[2] <= area.height + e;
    face(2, area.height, [0, 0, 1], area.name, (p) => onX(p, area.x) && onY(p, area.y));
    face(1, area.y[0], [0, -1, 0], area.name, (p) => onX(p, area.x) && low(p));
    face(0, area.x[0], [-1, 0, 0], area.name, (p) => onY(p, area.y) && low(p));
    face(0, area.x[1], [1, 0, 0], area.name, (p) => onY(p, area.y) && low(p));
  }
  return best;
}

/** Height of the floor or platform at a place. */
export function floorAt(room: Room, x: number, y: number): number {
  let z = 0;
  for (const area of room.platforms) {
    if (x >= area.x[0] && x <= area.x[1] && y >= area.y[0] && y <= area.y[1]) z = Math.max(z, area.height);
  }
  return z;
}

/**
 * The ellipse in which a cone of half angle `half` round `along` meets the plane through `at` with `normal`;
 * `null` when the cone does not close on it. Middle, half long axis, half short axis.
 */
export function coneOnPlane(from: V3, along: V3, half: number, at: V3, normal: V3) {
  const cosine = -dot(along, normal);
  const height = dot(sub(from, at), normal);
  const lean = Math.acos(clamp(cosine, -1, 1));
  if (height <= 0 || lean + half > 1.5) return null;
  const foot = sub(from, scale(normal, height));
  const level = add(along, scale(normal, cosine));
  const outward = length(level) > 1e-6 ? normalize(level) : sideways(normal);
  const near = height * Math.tan(lean - half);
  const far = height * Math.tan(lean + half);
  const centre = add(foot, scale(outward, (near + far) / 2));
  const a = (far - near) / 2;
  // The short axis from the chord square to the lean at the middle of the ellipse.
  const d = sub(centre, from);
  const z = dot(d, along);
  const b = Math.sqrt(Math.max(0, (z * Math.tan(half)) ** 2 - (dot(d, d) - z * z)));
  return { centre, major: scale(outward, a), minor: scale(cross(normal, outward), b) };
}
