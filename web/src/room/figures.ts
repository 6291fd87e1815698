import { BufferAttribute, BufferGeometry, Matrix4, Vector3 } from 'three';
import type { AreaView, FurnitureView, RoomView as Room, UnitView } from '../wire.gen';
import { placed, type Build, type Finish } from './build';
import { floorAt } from './geometry';

/** Evening clothes, dark and plain: the people are there for scale, the light is there to be looked at. */
const CLOTHES: [number, number, number][] = [
  [0.085, 0.085, 0.1], [0.19, 0.16, 0.14], [0.06, 0.07, 0.09], [0.26, 0.235, 0.21], [0.15, 0.075, 0.08], [0.1, 0.12, 0.105],
];
const SKIN: [number, number, number][] = [[0.38, 0.27, 0.21], [0.2, 0.125, 0.085], [0.45, 0.33, 0.26], [0.3, 0.2, 0.145]];
const HAIR: [number, number, number][] = [[0.03, 0.022, 0.018], [0.1, 0.06, 0.032], [0.2, 0.19, 0.18], [0.045, 0.03, 0.022]];

/** A level ring of a shape: height, half width, half depth, how far it lies to the front. */
type Ring = readonly [z: number, x: number, y: number, front?: number];

// All lengths in parts of the figure's height; it looks along +y. Proportions are those of drawing lessons (common
// practice, no source): the head an eighth of the height, the shoulders two heads wide.
const TRUNK: Ring[] = [
  [0.46, 0.03, 0.03], [0.468, 0.084, 0.06], [0.5, 0.091, 0.066], [0.55, 0.086, 0.061], [0.61, 0.077, 0.054], [0.67, 0.085, 0.06],
  [0.73, 0.096, 0.066], [0.78, 0.103, 0.061], [0.807, 0.1, 0.053], [0.83, 0.078, 0.045], [0.848, 0.05, 0.038], [0.86, 0.034, 0.034],
  [0.9, 0.029, 0.031],
];
const DRESS: Ring[] = [[0.17, 0.02, 0.02], [0.175, 0.134, 0.108], [0.28, 0.121, 0.097], [0.42, 0.103, 0.08], [0.54, 0.089, 0.064], [0.61, 0.079, 0.056], [0.63, 0.03, 0.03]];
const HEAD: Ring[] = [
  [0.866, 0.002, 0.002, 0.016], [0.869, 0.02, 0.024, 0.016], [0.886, 0.035, 0.044, 0.009], [0.91, 0.043, 0.054, 0.004], [0.938, 0.046, 0.058],
  [0.963, 0.043, 0.054, -0.003], [0.984, 0.032, 0.04, -0.005], [0.996, 0.014, 0.018, -0.006], [1, 0.001, 0.001, -0.006],
];
const HAIR_CAP: Ring[] = [
  [0.9, 0.03, 0.02, -0.045], [0.915, 0.043, 0.042, -0.022], [0.94, 0.0495, 0.0535, -0.011], [0.965, 0.047, 0.055, -0.007], [0.987, 0.036, 0.043, -0.007],
  [1.001, 0.016, 0.02, -0.007], [1.005, 0.001, 0.001, -0.007],
];
/** Where a hand rests: hanging, before the body, holding a glass; to the side, to the front, up. */
const HANDS: [number, number, number][] = [[0.122, 0.035, 0.465], [0.022, 0.092, 0.545], [0.075, 0.135, 0.66], [0.115, 0.05, 0.475]];

/** The shapes of a figure at one fineness; `sides` of each ring. */
export function figureShapes(sides: number) {
  // A shadow needs no fingers.
  const coarse = sides < 9;
  // Round ends that reach into each other: no gap shows at a joint.
  const limb: Ring[] = coarse ? [[0, 0.9, 0.9], [0.5, 0.95, 0.95], [1, 0.6, 0.6]] : [[-0.07, 0.02, 0.02], [-0.05, 0.6, 0.6], [0, 0.88, 0.88], [0.12, 1, 1], [0.6, 0.92, 0.92], [0.96, 0.8, 0.8], [1.04, 0.62, 0.62], [1.08, 0.02, 0.02]];
  const fine = (rings: Ring[]) => (coarse ? rings.filter((_, i) => i % 2 === 0 || i === rings.length - 1) : rings);
  return {
    coarse,
    trunk: loft(fine(TRUNK), sides), dress: loft(DRESS, sides), head: loft(fine(HEAD), sides), hair: loft(fine(HAIR_CAP), sides),
    // A limb of unit length along z, a little thinner at its far end.
    limb: loft(limb, coarse ? 4 : Math.max(6, sides >> 1)),
    knob: loft([[-1, 0.02, 0.02], [-0.8, 0.6, 0.6], [0, 1, 1], [0.8, 0.6, 0.6], [1, 0.02, 0.02]], Math.max(6, sides >> 1)),
  };
}

/** Adds a plain standing figure; `size[2]` is its height, `i` varies pose and clothes. */
export function figure(build: Build, room: Room, thing: FurnitureView, i: number, shapes: ReturnType<typeof figureShapes>): void {
  const tall = thing.size[2];
  const [x, y, z] = thing.at;
  // Who stands on a stage faces the audience; nobody stands quite straight to the front.
  const facing = thing.turn + (floorAt(room, x, y) > 0.1 ? Math.PI : 0) + 0.55 * Math.sin(i * 2.4 + x);
  const base = placed(x, y, z, facing, tall, tall, tall);
  const put = (shape: BufferGeometry, at: Matrix4, finish: Finish) => build.add(shape, base.clone().multiply(at), finish);
  const limb = (from: readonly number[], to: readonly number[], thick: number, finish: Finish) => put(shapes.limb, between(from, to, thick), finish);
  const tone = (list: [number, number, number][], k: number): Finish => ({ tone: list[k % list.length] ?? [0.1, 0.1, 0.1] });
  const dressed = i % 3 === 1;
  const cloth = tone(CLOTHES, i);
  const lower = dressed ? cloth : tone(CLOTHES, i * 2 + 2);
  const skin = tone(SKIN, i);
  const whole = new Matrix4();
  put(shapes.trunk, whole, cloth);
  put(shapes.head, whole, skin);
  if (!shapes.coarse) put(shapes.hair, whole, tone(HAIR, i * 3 + 1));
  if (dressed) put(shapes.dress, whole, cloth);
  for (const side of [-1, 1]) {
    const step = 0.012 * Math.sin(i + side);
    limb([side * 0.045, 0, 0.5], [side * 0.05, 0.012 + step, 0.26], 0.052, lower);
    limb([side * 0.05, 0.012 + step, 0.29], [side * 0.052, step, 0.03], 0.037, dressed ? skin : lower);
    if (!shapes.coarse) put(shapes.knob, placed(side * 0.054, 0.03 + step, 0.018, 0, 0.028, 0.068, 0.02), tone(HAIR, 0));
    const hand = HANDS[side > 0 && i % 4 === 1 ? 0 : i % 4] ?? [0.12, 0.03, 0.46];
    const wrist = [side * hand[0], hand[1], hand[2]] as const;
    const elbow = [side * (hand[0] < 0.1 ? 0.138 : 0.128), hand[1] > 0.1 ? 0 : -0.018, 0.63] as const;
    limb([side * 0.092, 0, 0.805], elbow, 0.032, cloth);
    if (!shapes.coarse) put(shapes.knob, placed(side * 0.09, 0, 0.806, 0, 0.034, 0.036, 0.03), cloth);
    limb(elbow, wrist, 0.026, i % 2 ? skin : cloth);
    if (!shapes.coarse) put(shapes.knob, placed(wrist[0], wrist[1] + 0.004, wrist[2] - 0.018, 0, 0.016, 0.02, 0.03), skin);
  }
}

/**
 * People for a room that has none of its own: in the audience areas and on the stage, where they stand clear of what is
 * there. They are drawn for scale and stand for nobody.
 */
export function forScale(room: Room, units: readonly UnitView[] = []): FurnitureView[] {
  if (room.furniture.some((thing) => thing.kind === 'person')) return [];
  const out: FurnitureView[] = [];
  const areas: AreaView[] = room.audience.length > 0 ? room.audience : [{ name: 'floor', x: room.x, y: [room.y[0], (room.y[0] + room.y[1]) / 2], height: 0 }];
  for (const area of areas) spread(out, room, units, area, Math.min(6, Math.max(2, Math.round(6 / areas.length))));
  for (const area of room.platforms) spread(out, room, units, area, 1);
  return out;
}

/**
 * Places along a spiral of even density, from the middle of an area outwards; each second figure stands with the one
 * before it, both turned to each other.
 */
function spread(out: FurnitureView[], room: Room, units: readonly UnitView[], area: AreaView, count: number): void {
  const half = { x: (area.x[1] - area.x[0]) / 2 - 0.5, y: (area.y[1] - area.y[0]) / 2 - 0.4 };
  const middle = { x: (area.x[0] + area.x[1]) / 2, y: (area.y[0] + area.y[1]) / 2 };
  if (half.x < 0.1 || half.y < 0.1) return;
  const free = (x: number, y: number) =>
    Math.abs(x - middle.x) <= half.x && Math.abs(y - middle.y) <= half.y &&
    room.furniture.every(({ at, size }) => Math.hypot(at[0] - x, at[1] - y) > 0.5 + Math.max(size[0], size[1]) / 2) &&
    room.marks.every(({ at }) => Math.hypot(at[0] - x, at[1] - y) > 0.45) && out.every(({ at }) => Math.hypot(at[0] - x, at[1] - y) > 0.6) &&
    !units.some((unit) => covers(room, x, y, unit));
  const add = (x: number, y: number, k: number, turn: number) => {
    const tall = 1.58 + 0.22 * (((k * 7) % 10) / 10);
    out.push({ name: 'person', kind: 'person', at: [x, y, floorAt(room, x, y)], size: [0.5, 0.3, tall], turn });
  };
  let stood = 0;
  for (let k = 1; k <= 90 && stood < count; k++) {
    const far = Math.sqrt((k * 0.618034) % 1);
    const x = middle.x + Math.min(half.x, 3.6) * far * Math.cos(k * 2.39996);
    const y = middle.y + Math.min(half.y, 3) * far * Math.sin(k * 2.39996);
    if (!free(x, y)) continue;
    const beside = [0.4, 2.7, -0.5, 3.6].map((turn) => [x + 0.68 * Math.cos(turn), y + 0.68 * Math.sin(turn)] as const).find(([bx, by]) => free(bx, by));
    if (stood + 2 > count || !beside) {
      add(x, y, k, 0);
      stood += 1;
      continue;
    }
    const facing = Math.atan2(x - beside[0], beside[1] - y);
    add(x, y, k, facing);
    add(beside[0], beside[1], k + 3, facing + Math.PI);
    stood += 2;
  }
}

/** Whether a figure would hide a light that stands low from those who look from the audience end. */
function covers(room: Room, x: number, y: number, unit: UnitView): boolean {
  const [ux, uy, uz] = unit.at;
  if (uz > 2.2 || y >= uy) return false;
  const eye = { x: (room.x[0] + room.x[1]) / 2, y: room.y[0] - 1 };
  const k = (y - eye.y) / (uy - eye.y);
  return Math.abs(eye.x + (ux - eye.x) * k - x) < 0.5 * (unit.size[0] * k + 0.7);
}

/** Carries a unit limb from one joint to the next. */
function between(from: readonly number[], to: readonly number[], thick: number): Matrix4 {
  const a = new Vector3(from[0], from[1], from[2]);
  const span = new Vector3(to[0], to[1], to[2]).sub(a);
  const size = span.length();
  const z = span.normalize();
  const x = new Vector3(0, 1, 0).cross(z).normalize();
  return new Matrix4().makeBasis(x, z.clone().cross(x), z).setPosition(a).multiply(new Matrix4().makeScale(thick, thick, size));
}

/** A skin round level rings. */
function loft(rings: readonly Ring[], sides: number): BufferGeometry {
  const place: number[] = [];
  const index: number[] = [];
  rings.forEach(([z, x, y, front = 0], row) => {
    for (let i = 0; i < sides; i++) {
      const turn = (i * 2 * Math.PI) / sides;
      place.push(x * Math.cos(turn), front + y * Math.sin(turn), z);
      if (row === 0) continue;
      const [a, b] = [row * sides + i, row * sides + ((i + 1) % sides)];
      index.push(a - sides, b - sides, b, a - sides, b, a);
    }
  });
  const shape = new BufferGeometry();
  shape.setAttribute('position', new BufferAttribute(new Float32Array(place), 3));
  shape.setIndex(index);
  shape.computeVertexNormals();
  return shape;
}
