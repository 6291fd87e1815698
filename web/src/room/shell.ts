import { BoxGeometry, CylinderGeometry, LatheGeometry, Matrix4, Vector2, Vector3 } from 'three';
import type { BufferGeometry } from 'three';
import type { FurnitureView, PlaceView, RoomView as Room, UnitView } from '../wire.gen';
import { Build, placed, Stuff, type Finish } from './build';
import { figure, figureShapes, forScale } from './figures';

/** The picture is cut open at the audience end; the room is drawn on past it by so many metres, behind the eye. */
export const BEYOND = 9;

const WOOD: [number, number, number] = [0.27, 0.165, 0.094];
const STAGE: [number, number, number] = [0.2, 0.13, 0.08];
const WALL: [number, number, number] = [0.34, 0.31, 0.275];
const CEILING: [number, number, number] = [0.14, 0.125, 0.11];
const CLOTH: [number, number, number] = [0.6, 0.565, 0.51];
const IRON: [number, number, number] = [0.03, 0.029, 0.028];
const ICING: [number, number, number] = [0.78, 0.74, 0.67];

// The primitives stand along Z, as everything in the room does.
const upright = new Matrix4().makeRotationX(Math.PI / 2);
const along = (shape: BufferGeometry): BufferGeometry => shape.applyMatrix4(upright);
const box = new BoxGeometry(1, 1, 1);
const rod = along(new CylinderGeometry(1, 1, 1, 10, 1));
const lathe = (points: [number, number][], sides: number) =>
  along(new LatheGeometry(points.map(([r, z]) => new Vector2(r, z)), sides));

/** The turned shapes at one fineness. */
type Shapes = ReturnType<typeof shapesOf>;

function shapesOf(k: number) {
  const sides = (n: number) => Math.max(6, Math.round(n * k));
  return {
    folds: k < 1 ? 18 : 84,
    drum: along(new CylinderGeometry(1, 1, 1, sides(40), 1)),
    figure: figureShapes(sides(18)),
  };
}
const FINE = shapesOf(1);
const COARSE = shapesOf(0.3);

/** The room's geometries: floor and walls, ceiling, what stands in it, and that once more, coarser, for throwing shadows. */
export type RoomParts = Record<'shell' | 'roof' | 'things' | 'casters', BufferGeometry>;

/** `figures` puts the people in, none of them before a low one of the `units`. */
export function buildRoom(room: Room, figures: boolean, units: readonly UnitView[] = []): RoomParts {
  const shell = new Build();
  const roof = new Build();
  surfaces(shell, room);
  ceiling(roof, room);
  const things = new Build();
  platforms(things, room);
  for (const place of room.places) hanging(things, room, place);
  const stands = figures ? [...room.furniture, ...forScale(room, units)] : room.furniture.filter((thing) => thing.kind !== 'person');
  stands.forEach((thing, i) => furniture(things, room, thing, i, FINE));
  const casters = new Build();
  platforms(casters, room);
  stands.forEach((thing, i) => furniture(casters, room, thing, i, COARSE));
  return { shell: shell.finish(false), roof: roof.finish(false), things: things.finish(false), casters: casters.outline() };
}

function platforms(build: Build, room: Room): void {
  for (const area of room.platforms) {
    const [x0, x1] = area.x;
    const [y0, y1] = area.y;
    const size = placed((x0 + x1) / 2, (y0 + y1) / 2, area.height / 2, 0, x1 - x0, y1 - y0, area.height);
    build.add(box, size, { tone: STAGE, stuff: Stuff.boards });
    const lip = placed((x0 + x1) / 2, y0 - 0.015, area.height - 0.03, 0, x1 - x0 + 0.04, 0.03, 0.06);
    build.add(box, lip, { tone: [0.12, 0.075, 0.045] });
  }
}

function surfaces(shell: Build, room: Room): void {
  const [x0, x1] = room.x;
  const y0 = room.y[0] - BEYOND;
  const y1 = room.y[1];
  const h = room.height;
  const wall: Finish = { tone: WALL, stuff: Stuff.plaster };
  shell.face([x0, y0, 0], [x1, y0, 0], [x1, y1, 0], [x0, y1, 0], { tone: WOOD, stuff: Stuff.boards });
  shell.face([x0, y1, 0], [x1, y1, 0], [x1, y1, h], [x0, y1, h], wall);
  shell.face([x0, y0, 0], [x0, y1, 0], [x0, y1, h], [x0, y0, h], wall);
  shell.face([x1, y1, 0], [x1, y0, 0], [x1, y0, h], [x1, y1, h], wall);
}

/** Apart from the walls, since the plan is seen through it. */
function ceiling(roof: Build, room: Room): void {
  const [x0, x1] = room.x;
  const y0 = room.y[0] - BEYOND;
  const y1 = room.y[1];
  const h = room.height;
  roof.face([x0, y1, h], [x1, y1, h], [x1, y0, h], [x0, y0, h], { tone: CEILING });
  // Joists give the dark above the bar a grain.
  const step = 1.5;
  for (let y = y1 - 0.6; y > y0; y -= step) {
    roof.add(box, placed((x0 + x1) / 2, y, h - 0.07, 0, x1 - x0, 0.09, 0.14), { tone: [0.1, 0.085, 0.072] });
  }
  // The joists end in a plate along each wall: without it their ends would look like stairs.
  for (const [x, inward] of [[x0, 1], [x1, -1]] as const) {
    roof.add(box, placed(x + inward * 0.06, (y0 + y1) / 2, h - 0.13, 0, 0.12, y1 - y0, 0.26), { tone: [0.12, 0.1, 0.084] });
  }
}

/** A rod from one point to another. */
function strut(build: Build, a: readonly number[], b: readonly number[], radius: number, finish: Finish): void {
  const from = new Vector3(a[0], a[1], a[2]);
  const to = new Vector3(b[0], b[1], b[2]);
  const span = to.clone().sub(from);
  const size = span.length();
  if (size < 1e-3) return;
  const middle = from.clone().add(to).multiplyScalar(0.5);
  const z = span.normalize();
  const x = new Vector3(0, 0, 1).cross(z);
  if (x.lengthSq() < 1e-6) x.set(1, 0, 0);
  x.normalize();
  const basis = new Matrix4().makeBasis(x, z.clone().cross(x), z).setPosition(middle);
  build.add(rod, basis.multiply(new Matrix4().makeScale(radius, radius, size)), finish);
}

function hanging(build: Build, room: Room, place: PlaceView): void {
  const iron: Finish = { tone: IRON, stuff: Stuff.satin };
  const { from, to } = place;
  const mid = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2, (from[2] + to[2]) / 2] as const;
  if (place.kind === 'floor') return;
  if (place.kind === 'stand') {
    const foot = 0;
    strut(build, [mid[0], mid[1], foot + 0.12], mid, 0.022, iron);
    strut(build, [mid[0], mid[1], foot + 0.12], [mid[0], mid[1], mid[2] * 0.55], 0.03, iron);
    for (let i = 0; i < 3; i++) {
      const a = (i * 2 * Math.PI) / 3 + Math.PI / 2;
      const toe = [mid[0] + 0.5 * Math.cos(a), mid[1] + 0.5 * Math.sin(a), foot + 0.02];
      strut(build, toe, [mid[0], mid[1], foot + 0.75], 0.016, iron);
    }
    strut(build, from, to, 0.024, iron);
    return;
  }
  if (place.kind === 'truss') truss(build, from, to, iron);
  else strut(build, from, to, 0.025, iron);
  // Drops to the ceiling a little in from the ends.
  for (const k of [0.08, 0.92]) {
    const at = [from[0] + (to[0] - from[0]) * k, from[1] + (to[1] - from[1]) * k, from[2] + (to[2] - from[2]) * k];
    if ((at[2] ?? 0) < room.height) strut(build, at, [at[0] ?? 0, at[1] ?? 0, room.height], 0.012, iron);
  }
}

function truss(build: Build, from: readonly number[], to: readonly number[], finish: Finish): void {
  const a = new Vector3(from[0], from[1], from[2]);
  const b = new Vector3(to[0], to[1], to[2]);
  const span = b.clone().sub(a);
  const side = new Vector3(-span.y, span.x, 0);
  if (side.lengthSq() < 1e-6) side.set(1, 0, 0);
  side.normalize().multiplyScalar(0.13);
  const corner = (k: number, s: number, up: number) => {
    const p = a.clone().addScaledVector(span, k).addScaledVector(side, s);
    return [p.x, p.y, p.z + up];
  };
  const chords: [number, number][] = [[-1, 0], [1, 0], [-1, 0.26], [1, 0.26]];
  for (const [s, up] of chords) strut(build, corner(0, s, up), corner(1, s, up), 0.02, finish);
  const bays = Math.max(1, Math.round(span.length() / 0.5));
  for (let i = 0; i < bays; i++) {
    for (const s of [-1, 1]) {
      strut(build, corner(i / bays, s, i % 2 ? 0.26 : 0), corner((i + 1) / bays, s, i % 2 ? 0 : 0.26), 0.01, finish);
    }
  }
}

function furniture(build: Build, room: Room, thing: FurnitureView, i: number, shapes: Shapes): void {
  const [x, y, z] = thing.at;
  const [w, d, h] = thing.size;
  if (thing.kind === 'person') figure(build, room, thing, i, shapes.figure);
  else if (thing.kind === 'round_table') roundTable(build, x, y, z, w / 2, h, shapes);
  else if (thing.kind === 'cake') cake(build, x, y, z, w, h, shapes);
  else if (thing.kind === 'table') {
    build.add(box, placed(x, y, z + h / 2 - 0.01, thing.turn, w - 0.05, d - 0.05, h - 0.02), { tone: CLOTH });
    build.add(box, placed(x, y, z + h - 0.015, thing.turn, w, d, 0.03), { tone: CLOTH });
  } else build.add(box, placed(x, y, z + h / 2, thing.turn, w, d, h), { tone: [0.14, 0.12, 0.1] });
}

/** A cloth that hangs in soft folds. */
function roundTable(
  build: Build, x: number, y: number, z: number, radius: number, height: number, shapes: Shapes,
): void {
  const cloth = lathe([[0.86, 0.06], [0.93, 0.5], [0.985, 0.93], [1.0, 0.985], [0.985, 1], [0, 1]], shapes.folds);
  const place = cloth.getAttribute('position');
  for (let i = 0; i < place.count; i++) {
    const px = place.getX(i);
    const py = place.getY(i);
    const low = 1 - Math.min(1, place.getZ(i) / 0.98);
    const fold = 1 + 0.055 * low * Math.sin(Math.atan2(py, px) * 14);
    place.setXY(i, px * fold, py * fold);
  }
  cloth.computeVertexNormals();
  build.add(cloth, placed(x, y, z, 0, radius, radius, height), { tone: CLOTH });
  build.add(shapes.drum, placed(x, y, z + height + 0.05, 0, 0.05, 0.05, 0.1), { tone: [0.2, 0.16, 0.12] });
  // Chairs pushed in: back and seat.
  for (let i = 0; i < 6; i++) {
    const a = (i * Math.PI) / 3 + x;
    const at = (r: number) => [x + r * Math.cos(a), y + r * Math.sin(a)] as const;
    const [sx, sy] = at(radius + 0.22);
    build.add(box, placed(sx, sy, z + 0.45, a, 0.38, 0.38, 0.035), { tone: [0.09, 0.06, 0.042] });
    const [bx, by] = at(radius + 0.41);
    build.add(box, placed(bx, by, z + 0.72, a, 0.03, 0.38, 0.3), { tone: [0.09, 0.06, 0.042] });
    for (const s of [-1, 1]) {
      const ox = -Math.sin(a) * 0.17 * s;
      const oy = Math.cos(a) * 0.17 * s;
      strut(build, [bx + ox, by + oy, z], [bx + ox, by + oy, z + 0.86], 0.014, { tone: [0.08, 0.055, 0.04] });
    }
  }
}

function cake(
  build: Build, x: number, y: number, z: number, width: number, height: number, shapes: Shapes,
): void {
  const table = height * 0.66;
  build.add(shapes.drum, placed(x, y, z + table / 2, 0, width / 2, width / 2, table), { tone: CLOTH });
  let up = z + table;
  for (const [r, h] of [[0.33, 0.13], [0.23, 0.11], [0.14, 0.1]] as const) {
    const tall = h * height;
    build.add(shapes.drum, placed(x, y, up + tall / 2, 0, r * width, r * width, tall), { tone: ICING });
    up += tall;
  }
}
