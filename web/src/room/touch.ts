import type { RoomView as Room, Scene } from '../wire.gen';
import type { Projector, Ray, ScreenPoint } from './eye';
import { add, clamp, dot, floorAt, hitRoom, length, scale, sub, type V3 } from './geometry';
import { ellipsePoints } from './ink';
import type { LiveLight } from './live';

/** What a finger or pointer came down on. */
export type Struck = { unit: number; part: 'body' | 'spot' | 'beam' };

/** A spot that is being dragged: where it is wanted, and the mark that caught it. */
export type Aiming = { unit: number; at: V3; mark: string | null };

/** What the hand works on; asked anew at every event. */
export type Grip = {
  scene(): Scene | null;
  lights(): LiveLight[];
  view(): Projector;
  chosen(): readonly number[];
  /** Spots may be dragged. */
  mayAim(): boolean;
  orbit(dx: number, dy: number): void;
  /** Comes closer or goes back, about a place on the canvas. */
  zoom(factor: number, at: { x: number; y: number }): void;
  home(): void;
  pick(unit: number | null, additive: boolean): void;
  aim(aiming: Aiming, phase: 'start' | 'move' | 'end'): void;
};

/** Half the smallest touch area. */
const REACH = 22;
const SNAP_M = 0.15;
/** The spot runs this far above the finger, so that the thumb never covers it. */
const LIFT = 44;
const SLACK = 6;

type Down = { id: number; x: number; y: number; struck: Struck | null; offset: { x: number; y: number }; touch: boolean; moved: boolean };

/** Pointer events on the picture: tap picks, a dragged spot aims, a dragged room turns, two fingers or the wheel zoom. */
export class Hand {
  private readonly pointers = new Map<number, { x: number; y: number }>();
  private down: Down | null = null;
  private aiming: Aiming | null = null;
  private spread = 0;
  private readonly off: (() => void)[] = [];

  constructor(private readonly canvas: HTMLCanvasElement, private readonly grip: Grip) {
    canvas.style.touchAction = 'none';
    const on = <K extends keyof HTMLElementEventMap>(name: K, run: (event: HTMLElementEventMap[K]) => void, options?: AddEventListenerOptions) => {
      canvas.addEventListener(name, run, options);
      this.off.push(() => canvas.removeEventListener(name, run));
    };
    on('pointerdown', (event) => this.press(event));
    on('pointermove', (event) => this.move(event));
    on('pointerup', (event) => this.release(event, true));
    on('pointercancel', (event) => this.release(event, false));
    on('dblclick', (event) => {
      const at = this.place(event);
      if (!this.strike(at.x, at.y)) this.grip.home();
    });
    on('wheel', (event) => {
      event.preventDefault();
      this.grip.zoom(Math.exp(event.deltaY * 0.0012), this.place(event));
    }, { passive: false });
  }

  dispose(): void {
    for (const off of this.off) off();
  }

  private place(event: MouseEvent): { x: number; y: number } {
    const box = this.canvas.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  private press(event: PointerEvent): void {
    const at = this.place(event);
    this.pointers.set(event.pointerId, at);
    this.canvas.setPointerCapture?.(event.pointerId);
    if (this.pointers.size === 2) {
      this.finishAim();
      this.down = null;
      this.spread = this.fingers();
      return;
    }
    if (this.pointers.size > 2) return;
    const struck = this.strike(at.x, at.y);
    const touch = event.pointerType === 'touch';
    const offset = { x: 0, y: 0 };
    const spot = struck && this.grip.lights().find((light) => light.unit === struck.unit)?.beams[0]?.spot;
    if (spot && struck.part === 'spot') {
      const shown = this.grip.view().project(spot.at);
      offset.x = shown.x - at.x;
      offset.y = shown.y - at.y;
    }
    this.down = { id: event.pointerId, ...at, struck, offset, touch, moved: false };
  }

  private move(event: PointerEvent): void {
    const at = this.place(event);
    const before = this.pointers.get(event.pointerId);
    if (!before) {
      this.hover(at.x, at.y);
      return;
    }
    this.pointers.set(event.pointerId, at);
    if (this.pointers.size === 2) {
      const now = this.fingers();
      if (this.spread > 0 && now > 0) this.grip.zoom(this.spread / now, this.between());
      this.spread = now;
      this.grip.orbit((at.x - before.x) / 2, (at.y - before.y) / 2);
      return;
    }
    const { down } = this;
    if (!down || down.id !== event.pointerId) return;
    if (!down.moved && Math.hypot(at.x - down.x, at.y - down.y) < SLACK) return;
    if (!down.moved) {
      down.moved = true;
      if (this.canAim(down.struck)) this.startAim(down.struck as Struck);
    }
    if (this.aiming) this.aimAt(at.x + down.offset.x, at.y + this.lift(down, at), 'move');
    else this.grip.orbit(at.x - before.x, at.y - before.y);
  }

  private release(event: PointerEvent, up: boolean): void {
    this.pointers.delete(event.pointerId);
    this.spread = 0;
    const { down } = this;
    if (!down || down.id !== event.pointerId) return;
    this.down = null;
    if (this.aiming) this.finishAim();
    else if (up && !down.moved) this.grip.pick(down.struck?.unit ?? null, event.shiftKey || event.ctrlKey || event.metaKey);
  }

  /** The place between two fingers. */
  private between(): { x: number; y: number } {
    const at = [...this.pointers.values()];
    return { x: at.reduce((sum, one) => sum + one.x, 0) / at.length, y: at.reduce((sum, one) => sum + one.y, 0) / at.length };
  }

  private fingers(): number {
    const [a, b] = [...this.pointers.values()];
    return a && b ? Math.hypot(a.x - b.x, a.y - b.y) : 0;
  }

  /** A spot that fills much of the picture is taken at its middle only, so that bare room stays bare. */
  private small(ring: ScreenPoint[]): boolean {
    const across = (pick: (p: ScreenPoint) => number) => Math.max(...ring.map(pick)) - Math.min(...ring.map(pick));
    return across((p) => p.x) * across((p) => p.y) < 0.12 * this.canvas.clientWidth * this.canvas.clientHeight;
  }

  private hover(x: number, y: number): void {
    const struck = this.strike(x, y);
    this.canvas.style.cursor = !struck ? 'default' : this.canAim(struck) ? 'grab' : 'pointer';
  }

  /** Only a spot is dragged, and only of a light that can follow. */
  private canAim(struck: Struck | null): boolean {
    if (struck?.part !== 'spot' || !this.grip.mayAim()) return false;
    return this.grip.scene()?.units.find((unit) => unit.number === struck.unit)?.moves ?? false;
  }

  private startAim(struck: Struck): void {
    const spot = this.grip.lights().find((light) => light.unit === struck.unit)?.beams[0]?.spot;
    if (!spot) return;
    if (!this.grip.chosen().includes(struck.unit)) this.grip.pick(struck.unit, false);
    this.aiming = { unit: struck.unit, at: [...spot.at], mark: null };
    this.grip.aim(this.aiming, 'start');
  }

  private aimAt(x: number, y: number, phase: 'move' | 'end'): void {
    const scene = this.grip.scene();
    if (!this.aiming || !scene) return;
    const ray = this.grip.view().ray(x, y);
    const mark = scene.room.marks.find((one) => offRay(ray, one.at) <= SNAP_M);
    const hit = hitRoom(scene.room, ray.from, ray.along);
    const { sheet } = this.grip.view();
    if (mark) this.aiming = { ...this.aiming, at: [...mark.at], mark: mark.name };
    // A drawing from the side shows nothing of how far away the spot is, so there the drag leaves that as it is.
    else if (sheet === 0 || sheet === 1) this.aiming = { ...this.aiming, at: across(scene.room, ray.from, this.aiming.at, sheet), mark: null };
    else if (hit && hit.surface !== 'ceiling') this.aiming = { ...this.aiming, at: hit.at, mark: null };
    else return;
    this.grip.aim(this.aiming, phase);
  }

  /** Under a finger the spot rises clear of the thumb as the drag gets going; under a pointer it keeps its distance. */
  private lift(down: Down, at: { x: number; y: number }): number {
    if (!down.touch) return down.offset.y;
    const k = Math.min(1, Math.hypot(at.x - down.x, at.y - down.y) / 60);
    return down.offset.y + (Math.min(down.offset.y, -LIFT) - down.offset.y) * k;
  }

  private finishAim(): void {
    if (!this.aiming) return;
    this.grip.aim(this.aiming, 'end');
    this.aiming = null;
  }

  /** What lies under a place on the screen: the nearest body or spot within reach, else a beam. */
  private strike(x: number, y: number): Struck | null {
    const scene = this.grip.scene();
    if (!scene) return null;
    const view = this.grip.view();
    const chosen = this.grip.chosen();
    const lights = new Map(this.grip.lights().map((light) => [light.unit, light]));
    let best: { struck: Struck; far: number } | null = null;
    const offer = (unit: number, part: Struck['part'], far: number) => {
      if (!best || far < best.far) best = { struck: { unit, part }, far };
    };
    for (const unit of scene.units) {
      const light = lights.get(unit.number);
      const middle = light?.beams[0] ? light.beams[0].from : unit.at;
      const body = view.project([(unit.at[0] + middle[0]) / 2, (unit.at[1] + middle[1]) / 2, (unit.at[2] + middle[2]) / 2]);
      const far = body.front ? Math.hypot(body.x - x, body.y - y) : Infinity;
      if (far < REACH) offer(unit.number, 'body', far);
      for (const beam of light?.beams ?? []) {
        if (!beam.spot || (beam.level < 0.004 && !chosen.includes(unit.number))) continue;
        const ring = ellipsePoints(beam.spot.centre, beam.spot.major, beam.spot.minor, 20).map((p) => view.project(p));
        const at = view.project(beam.spot.at);
        const off = at.front ? Math.hypot(at.x - x, at.y - y) : Infinity;
        // A chosen light's spot is taken before its neighbours'; of overlapping spots the one whose middle is nearer.
        const favour = chosen.includes(unit.number) ? 0.35 : 1;
        if (off < REACH) offer(unit.number, 'spot', off * favour);
        else if (beam.level >= 0.004 && this.small(ring) && inside(ring, x, y)) offer(unit.number, 'spot', (REACH + off * 0.2) * favour);
        else if (beam.level > 0.02) {
          const from = view.project(beam.from);
          const away = fromSegment(from, at, x, y);
          if (from.front && at.front && away < 12) offer(unit.number, 'beam', 60 + away);
        }
      }
    }
    return (best as { struck: Struck } | null)?.struck ?? null;
  }
}

/** A place on a drawing from the side, as far away as `kept` and inside the room. */
function across(room: Room, from: V3, kept: V3, sheet: 0 | 1): V3 {
  const at: V3 = [clamp(from[0], room.x[0], room.x[1]), clamp(from[1], room.y[0], room.y[1]), 0];
  at[sheet] = kept[sheet];
  at[2] = clamp(from[2], floorAt(room, at[0], at[1]), room.height);
  return at;
}

function offRay(ray: Ray, p: V3): number {
  const d = sub(p, ray.from);
  const t = dot(d, ray.along);
  return t > 0 ? length(sub(p, add(ray.from, scale(ray.along, t)))) : Infinity;
}

function inside(ring: ScreenPoint[], x: number, y: number): boolean {
  if (ring.some((p) => !p.front)) return false;
  let within = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const a = ring[i] as ScreenPoint;
    const b = ring[j] as ScreenPoint;
    if (a.y > y !== b.y > y && x < ((b.x - a.x) * (y - a.y)) / (b.y - a.y) + a.x) within = !within;
  }
  return within;
}

function fromSegment(a: ScreenPoint, b: ScreenPoint, x: number, y: number): number {
  const dx = b.x - a.x;
  const dy = b.y - a.y;
  const k = Math.min(1, Math.max(0, ((x - a.x) * dx + (y - a.y) * dy) / Math.max(1e-6, dx * dx + dy * dy)));
  return Math.hypot(a.x + k * dx - x, a.y + k * dy - y);
}
