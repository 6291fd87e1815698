import { OrthographicCamera, Vector3 } from 'three';
import type { RoomView as Room, Scene } from '../wire.gen';
import type { Insets, Projector, Ray, ScreenPoint } from './eye';
import { clamp, type V3 } from './geometry';
import type { Open } from './words';

/** The ways to look at the room without perspective: from above, from the audience, and from the right wall. */
export type FlatSide = 'plan' | 'front' | 'side';

/** Which way the picture looks, and which ways in the room run to the right and up on it. */
const WAYS: Record<FlatSide, { along: V3; right: V3; up: V3; sheet: 0 | 1 | 2 }> = {
  plan: { along: [0, 0, -1], right: [1, 0, 0], up: [0, 1, 0], sheet: 2 },
  front: { along: [0, 1, 0], right: [1, 0, 0], up: [0, 0, 1], sheet: 1 },
  side: { along: [-1, 0, 0], right: [0, 1, 0], up: [0, 0, 1], sheet: 0 },
};
/** The picture begins so far outside the room, metres: beams that leave it are still whole. */
const OUTSIDE_M = 12;
/** Closest and widest that a hand may bring it. */
const ZOOM = { most: 6, least: 0.8 };

/**
 * The eye infinitely far away: a drawing to scale of the live room. `scale` is CSS pixels for a metre, the same in all
 * directions and at every depth.
 */
export class FlatEye implements Projector {
  readonly camera = new OrthographicCamera();
  scale = 1;
  private side: FlatSide = 'plan';
  private room: Room | null = null;
  private width = 1;
  private height = 1;
  private insets: Insets = { left: 0, top: 0, right: 0, bottom: 0 };
  private near = 1;
  /** Where a hand has moved it, metres on the sheet. */
  private moved = { x: 0, y: 0 };
  /** The place on the sheet that stands in the middle of the open picture. */
  private middle = { x: 0, y: 0 };
  private centre = { x: 0, y: 0 };
  private from: V3 = [0, 0, 0];

  /** The axis of the room that this sheet shows nothing of. */
  get sheet(): 0 | 1 | 2 {
    return WAYS[this.side].sheet;
  }

  turnTo(side: FlatSide): void {
    if (this.side !== side) this.home();
    this.side = side;
    this.frame();
  }

  setScene(scene: Scene): void {
    this.room = scene.room;
    this.frame();
  }

  setSize(width: number, height: number, insets: Insets): void {
    this.width = Math.max(1, width);
    this.height = Math.max(1, height);
    this.insets = insets;
    this.frame();
  }

  /** Moves the sheet by pixels. */
  pan(dx: number, dy: number): void {
    this.moved.x -= dx / this.scale;
    this.moved.y += dy / this.scale;
    this.frame();
  }

  /** Comes closer (`factor` below 1) or goes back; the place of the sheet under `at` stays where it is. */
  zoom(factor: number, at: { x: number; y: number } = this.centre): void {
    const before = this.scale;
    this.near = clamp(this.near / factor, ZOOM.least, ZOOM.most);
    this.frame();
    const gone = 1 / before - 1 / this.scale;
    this.moved.x += (at.x - this.centre.x) * gone;
    this.moved.y += (this.centre.y - at.y) * gone;
    this.frame();
  }

  reset(): void {
    this.home();
    this.frame();
  }

  position(): V3 {
    return this.from;
  }

  direction(): V3 {
    return WAYS[this.side].along;
  }

  project(p: V3): ScreenPoint {
    const { x, y } = onSheet(this.side, p);
    return { x: this.centre.x + (x - this.middle.x) * this.scale, y: this.centre.y - (y - this.middle.y) * this.scale, front: true };
  }

  /** A way in the room on the canvas, pixels. */
  span(way: V3): { x: number; y: number } {
    const { x, y } = onSheet(this.side, way);
    return { x: x * this.scale, y: -y * this.scale };
  }

  /** The room's edges on the canvas, pixels. */
  box(): Open {
    const { room } = this;
    const a = this.project([room?.x[0] ?? 0, room?.y[0] ?? 0, 0]);
    const b = this.project([room?.x[1] ?? 0, room?.y[1] ?? 0, room?.height ?? 0]);
    return { left: Math.min(a.x, b.x), right: Math.max(a.x, b.x), top: Math.min(a.y, b.y), bottom: Math.max(a.y, b.y) };
  }

  ray(x: number, y: number): Ray {
    const { along, right, up } = WAYS[this.side];
    const sx = this.middle.x + (x - this.centre.x) / this.scale;
    const sy = this.middle.y + (this.centre.y - y) / this.scale;
    const away = depth(along, this.from);
    // From above a ray begins under the ceiling, from the side inside the wall: those are what the sheet looks through.
    const { room } = this;
    const start = !room ? away : this.side === 'plan' ? 0.01 - room.height : this.side === 'side' ? 0.01 - room.x[1] : room.y[0] + 0.01;
    const from = [0, 1, 2].map((i) => (right[i] ?? 0) * sx + (up[i] ?? 0) * sy + (along[i] ?? 0) * start) as V3;
    return { from, along };
  }

  private home(): void {
    this.near = 1;
    this.moved = { x: 0, y: 0 };
  }

  private frame(): void {
    const { room, side, insets, width, height } = this;
    if (!room) return;
    const { along, right, up } = WAYS[side];
    const low = onSheet(side, [room.x[0], room.y[0], 0]);
    const high = onSheet(side, [room.x[1], room.y[1], room.height]);
    const open = { w: Math.max(60, width - insets.left - insets.right), h: Math.max(60, height - insets.top - insets.bottom) };
    const tight = open.w < 560;
    // Room for the staff of heights at the left and for the ruler under the sheet.
    const margin = tight ? { left: 34, right: 12, top: 26, bottom: 34 } : { left: 84, right: 34, top: 40, bottom: 58 };
    const w = Math.max(40, open.w - margin.left - margin.right);
    const h = Math.max(40, open.h - margin.top - margin.bottom);
    const whole = Math.min(w / Math.max(0.1, high.x - low.x), h / Math.max(0.1, high.y - low.y));
    this.scale = whole * this.near;
    this.centre = { x: insets.left + margin.left + w / 2, y: insets.top + margin.top + h / 2 };
    const reach = { x: (high.x - low.x) / 2, y: (high.y - low.y) / 2 };
    this.moved = { x: clamp(this.moved.x, -reach.x, reach.x), y: clamp(this.moved.y, -reach.y, reach.y) };
    this.middle = { x: (low.x + high.x) / 2 + this.moved.x, y: (low.y + high.y) / 2 + this.moved.y };
    // The camera covers the whole canvas, also what panels lie over, so that strokes and picture agree everywhere.
    const { camera, scale, centre, middle } = this;
    camera.left = -centre.x / scale;
    camera.right = (width - centre.x) / scale;
    camera.top = centre.y / scale;
    camera.bottom = -(height - centre.y) / scale;
    const begins = Math.min(depth(along, [room.x[0], room.y[0], 0]), depth(along, [room.x[1], room.y[1], room.height])) - OUTSIDE_M;
    const ends = Math.max(depth(along, [room.x[0], room.y[0], 0]), depth(along, [room.x[1], room.y[1], room.height]));
    this.from = [0, 1, 2].map((i) => (right[i] ?? 0) * middle.x + (up[i] ?? 0) * middle.y + (along[i] ?? 0) * begins) as V3;
    camera.near = 0.1;
    camera.far = ends - begins + 0.5;
    camera.up.set(...up);
    camera.position.set(...this.from);
    camera.lookAt(new Vector3(this.from[0] + along[0], this.from[1] + along[1], this.from[2] + along[2]));
    camera.updateMatrixWorld();
    camera.updateProjectionMatrix();
  }
}

/** A place of the room on the sheet, metres to the right and up. */
function onSheet(side: FlatSide, p: V3): { x: number; y: number } {
  const { right, up } = WAYS[side];
  return { x: depth(right, p), y: depth(up, p) };
}

function depth(along: V3, p: V3): number {
  return along[0] * p[0] + along[1] * p[1] + along[2] * p[2];
}
