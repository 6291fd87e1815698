import { PerspectiveCamera, Vector3 } from 'three';
import type { Scene } from '../wire.gen';
import { add, clamp, length, mix, normalize, scale, sub, type V3 } from './geometry';

/** Pixels that panels cover at each side of the canvas; the room is framed in what is left. */
export type Insets = { left: number; top: number; right: number; bottom: number };

/** A place on the screen in CSS pixels from the canvas's top left; `front` is false behind the eye. */
export type ScreenPoint = { x: number; y: number; front: boolean };
export type Ray = { from: V3; along: V3 };

/** What picking, dragging, labels and strokes need to know of a view. */
export type Projector = {
  project(p: V3): ScreenPoint;
  ray(x: number, y: number): Ray;
  /** On a drawing to scale: the axis of the room (0 to 2) along which it looks. */
  readonly sheet?: 0 | 1 | 2;
};

const FOV = 40;
/** How steeply the eye looks down on what it was brought close to, radians. */
const CLOSE_RISE = 0.42;
/** The eye keeps so far off walls and ceiling, metres. */
const OFF_WALL_M = 0.2;
/** A new place is most of the way reached after so many milliseconds. */
const EASE_MS = 160;

/** A ball in the room that the eye is brought close to, and how far round it from straight before it, radians. */
export type Focus = { middle: V3; radius: number; turn?: number };

/** Where the eye stands before a hand has turned it: before `target`, at a height, gone round it by `turn`. */
type Home = { target: V3; distance: number; height: number; turn: number };
/** The eye goes no further round than this. */
const MOST_TURN = 1.4;

/** The eye at the audience end: framed on the rig by itself, turned gently by hand. */
export class Eye implements Projector {
  readonly camera = new PerspectiveCamera(FOV, 1, 0.1, 80);
  private width = 1;
  private height = 1;
  private open = { w: 1, h: 1 };
  private insets: Insets = { left: 0, top: 0, right: 0, bottom: 0 };
  private home: Home = { target: [0, 0, 1.8], distance: 9, height: 2.4, turn: 0 };
  /** From where it is looked on its way to another home. */
  private way: { home: Home; shift: number } | null = null;
  private shift = 0;
  private focus: Focus | null = null;
  private turn = 0;
  private rise = 0;
  private near = 1;
  private scene: Scene | null = null;
  private forward: V3 = [0, 1, 0];

  constructor() {
    this.camera.up.set(0, 0, 1);
  }

  setScene(scene: Scene): void {
    this.scene = scene;
    this.frame();
  }

  setSize(width: number, height: number, insets: Insets): void {
    this.width = Math.max(1, width);
    this.height = Math.max(1, height);
    this.insets = insets;
    this.frame();
  }

  /** Turns by pixels dragged. */
  orbit(dx: number, dy: number): void {
    this.turn = clamp(this.turn - dx * 0.0032, -1.15, 1.15);
    this.rise = clamp(this.rise + dy * 0.0026, -0.1, 0.75);
    this.place();
  }

  /** Comes closer (`factor` below 1) or goes back. */
  zoom(factor: number): void {
    this.near = clamp(this.near * factor, 0.4, 1.6);
    this.place();
  }

  reset(): void {
    this.turn = this.rise = 0;
    this.near = 1;
    this.place();
  }

  /** Brings a ball of the room close, or with `null` shows the rig as a whole; `smoothly` by and by, see `advance`. */
  setFocus(focus: Focus | null, smoothly: boolean): void {
    if (focus === null && this.focus === null) return;
    const from = this.way ?? { home: this.home, shift: this.shift };
    if ((focus === null) !== (this.focus === null)) this.turn = this.rise = 0;
    this.focus = focus;
    this.near = 1;
    this.frame();
    this.way = smoothly ? from : null;
    this.place();
  }

  /** Goes on towards the place that was last asked for; `false` once it is there. */
  advance(ms: number): boolean {
    const { way, home } = this;
    if (!way) return false;
    const k = 1 - Math.exp(-Math.min(ms, 100) / EASE_MS);
    const target = mix(way.home.target, home.target, k);
    const distance = way.home.distance + (home.distance - way.home.distance) * k;
    const height = way.home.height + (home.height - way.home.height) * k;
    const turn = way.home.turn + (home.turn - way.home.turn) * k;
    this.way = { home: { target, distance, height, turn }, shift: way.shift + (this.shift - way.shift) * k };
    if (length(sub(target, home.target)) + Math.abs(distance - home.distance) + Math.abs(turn - home.turn) < 0.01) this.way = null;
    this.place();
    return true;
  }

  position(): V3 {
    const p = this.camera.position;
    return [p.x, p.y, p.z];
  }

  direction(): V3 {
    return this.forward;
  }

  project(p: V3): ScreenPoint {
    const v = new Vector3(...p).applyMatrix4(this.camera.matrixWorldInverse);
    const front = v.z < -0.05;
    v.applyMatrix4(this.camera.projectionMatrix);
    return { x: ((v.x + 1) / 2) * this.width, y: ((1 - v.y) / 2) * this.height, front };
  }

  ray(x: number, y: number): Ray {
    const v = new Vector3((2 * x) / this.width - 1, 1 - (2 * y) / this.height, 0.5).unproject(this.camera);
    const from = this.position();
    return { from, along: normalize([v.x - from[0], v.y - from[1], v.z - from[2]]) };
  }

  /** Finds the place from which bar, stands and the floor before them fill the open part of the picture. */
  private frame(): void {
    const { camera, insets } = this;
    const open = {
      w: Math.max(60, this.width - insets.left - insets.right),
      h: Math.max(60, this.height - insets.top - insets.bottom),
    };
    camera.aspect = open.w / open.h;
    this.open = open;
    this.way = null;
    this.shift = 0;
    this.aside(0);
    if (!this.scene) return;
    if (this.focus) {
      this.home = this.closeHome(this.focus);
      return this.place();
    }
    const points = toFrame(this.scene, camera.aspect);
    this.fit(this.scene, points);
    const held = [this.turn, this.rise, this.near] as const;
    this.reset();
    // A wide room leaves height over: let what matters stand in the middle of it, a little low.
    const ys = points.map((p) => this.project(p).y - insets.top);
    this.shift = middle(ys) - open.h * 0.53;
    [this.turn, this.rise, this.near] = held;
    this.place();
  }

  private fit(scene: Scene, points: V3[]): void {
    const ys = points.map((p) => p[1]);
    const zs = points.map((p) => p[2]);
    const target: V3 = [middle(points.map((p) => p[0])), (Math.min(...ys) + Math.max(...ys)) / 2, middle(zs) * 0.93];
    const tallness = Math.tan((FOV / 2) * (Math.PI / 180));
    const wide = tallness * this.camera.aspect;
    const raised = scene.room.platforms.reduce((z, area) => Math.max(z, area.height), 0);
    // From higher up more of the floor is seen, and the spots on it: a tall picture has the room for it.
    const lift = clamp(1.5 - this.camera.aspect, 0, 0.7);
    const eyeHeight = Math.max(2.25, Math.min(Math.max(2.5, raised + 1.7) + lift, scene.room.height - 0.6));
    let low = 2;
    let high = 80;
    for (let i = 0; i < 40; i++) {
      const distance = (low + high) / 2;
      this.home = { target, distance, height: eyeHeight, turn: 0 };
      const at = this.homeAt();
      const look = normalize([target[0] - at[0], target[1] - at[1], target[2] - at[2]]);
      let up = -Infinity;
      let down = Infinity;
      const within = points.every((p) => {
        const d: V3 = [p[0] - at[0], p[1] - at[1], p[2] - at[2]];
        const depth = d[1] * look[1] + d[2] * look[2];
        const rise = (d[2] * look[1] - d[1] * look[2]) / depth;
        up = Math.max(up, rise);
        down = Math.min(down, rise);
        return depth > 0.5 && Math.abs(d[0]) < depth * wide * 0.87;
      });
      const fits = within && up - down < 2 * tallness * 0.9;
      if (fits) high = distance;
      else low = distance;
    }
    this.home = { target, distance: high, height: eyeHeight, turn: 0 };
  }

  private aside(shift: number): void {
    this.camera.setViewOffset(this.open.w, this.open.h, -this.insets.left, shift - this.insets.top, this.width, this.height);
  }

  /** The place from which a ball just fills the open part of the picture. */
  private closeHome({ middle, radius, turn = 0 }: Focus): Home {
    const upright = (FOV / 2) * (Math.PI / 180);
    const half = Math.min(upright, Math.atan(Math.tan(upright) * this.camera.aspect));
    const away = radius / Math.sin(half);
    return { target: middle, distance: away * Math.cos(CLOSE_RISE), height: middle[2] + away * Math.sin(CLOSE_RISE), turn };
  }

  private homeAt({ target, distance, height } = this.home): V3 {
    return [target[0], target[1] - distance, height];
  }

  private place(): void {
    const { target, turn: aside } = this.way?.home ?? this.home;
    const home = this.homeAt(this.way?.home);
    this.aside(this.way?.shift ?? this.shift);
    const flat = Math.hypot(home[1] - target[1], home[2] - target[2]) * this.near;
    const tilt = Math.atan2(home[2] - target[2], target[1] - home[1]) + this.rise;
    const turn = clamp(this.turn + aside, -MOST_TURN, MOST_TURN);
    const back: V3 = [
      -Math.sin(turn) * Math.cos(tilt), -Math.cos(turn) * Math.cos(tilt), Math.sin(tilt),
    ];
    const at = add(target, scale(back, flat));
    at[2] = Math.max(0.5, at[2]);
    // Close by, the eye stays inside the walls that the picture has: behind one of them there would be nothing but its back.
    if (this.focus && this.scene) {
      const { x, height } = this.scene.room;
      at[0] = clamp(at[0], x[0] + OFF_WALL_M, x[1] - OFF_WALL_M);
      at[2] = Math.min(at[2], height - OFF_WALL_M);
    }
    this.camera.position.set(...at);
    this.camera.lookAt(...target);
    this.camera.updateMatrixWorld();
    this.camera.updateProjectionMatrix();
    this.forward = normalize([target[0] - at[0], target[1] - at[1], target[2] - at[2]]);
  }
}

function middle(values: number[]): number {
  return (Math.min(...values) + Math.max(...values)) / 2;
}

/** The points that must be in the picture at rest; of the floor less in a picture that is low and wide. */
function toFrame(scene: Scene, aspect: number): V3[] {
  const { room, units } = scene;
  const points: V3[] = units.map((unit) => [unit.at[0], unit.at[1], unit.at[2] + 0.25]);
  for (const place of room.places) {
    if (place.kind === 'floor') continue;
    points.push(place.from, place.to);
    if (place.kind === 'stand') points.push([place.from[0], place.from[1], 0]);
  }
  if (points.length === 0) points.push([room.x[0], 0, room.height], [room.x[1], 0, room.height]);
  const front = Math.min(...points.map((p) => p[1]));
  const depth = clamp((front - room.y[0]) * 0.5, 1.5, 4.4) * clamp(1.5 / aspect, 0.2, 1) ** 2;
  const wide = Math.max(...points.map((p) => Math.abs(p[0]))) * 0.5;
  points.push([-wide, front - depth, 0], [wide, front - depth, 0]);
  return points;
}
