import type { Moment, Scene } from '../wire.gen';
import { Eye, type Insets, type Projector } from './eye';
import { Ink, INKS, type Theme } from './ink';
import { Live, type Beam, type LiveLight } from './live';
import { Picture } from './picture';
import { drawPlan, patchNumbers, PlanEye } from './plan';
import { drawStrokes } from './strokes';
import { Hand, type Aiming } from './touch';
import { place, Words, type Label } from './words';

export type { Insets } from './eye';
export type { Label } from './words';

/** What the picture tells the page. */
export type RoomCallbacks = {
  /** A light was chosen by tapping it, its beam or its spot; `null` when bare room was tapped. */
  onPick(unit: number | null, additive: boolean): void;
  /** A spot is being dragged. */
  onAim(unit: number, at: [number, number, number], phase: 'start' | 'move' | 'end'): void;
  /** The words over the picture, each time they change; without it the picture draws them itself. */
  onLabels?(labels: Label[]): void;
};

/** The page never draws more flashes a second than this, whatever the light does. */
const MOST_FLASHES_HZ = 3;
/** Frames that take longer than this, for a while, make the picture coarser. */
const SLOW_MS = 85;
/** So many frames in a row quicker than this make it finer again. */
const QUICK_MS = 24;
const QUICK_FRAMES = 400;
/** Without change for so long, the picture is drawn once more as finely as it can be. */
const REST_MS = 450;

/**
 * The picture of the room: the lit hall, or its plan from above. It draws only when something has changed, follows the
 * moments smoothly in between, and shows the plan alone where the browser has no WebGL 2.
 */
export class RoomView {
  private readonly eye = new Eye();
  private readonly planEye = new PlanEye();
  private readonly live = new Live();
  private readonly ink: Ink;
  private readonly words: Words | null;
  private readonly hand: Hand;
  private readonly still = matchMedia('(prefers-reduced-motion: reduce)');
  private picture: Picture | null = null;
  private notice: string | null = null;
  private scene: Scene | null = null;
  private lights: LiveLight[] = [];
  private chosen: readonly number[] = [];
  private aiming: Aiming | null = null;
  private wantedView: 'room' | 'plan' = 'room';
  private insets: Insets = { left: 0, top: 0, right: 0, bottom: 0 };
  private size = { width: 0, height: 0 };
  private dirty = true;
  private frame = 0;
  private last = 0;
  private lastChange = 0;
  private drawn: number[] = [];
  private quick = 0;
  private cost = 0;
  private told = '';

  constructor(private readonly canvas: HTMLCanvasElement, private readonly callbacks: RoomCallbacks) {
    this.ink = new Ink(canvas);
    this.words = callbacks.onLabels ? null : new Words(this.ink.canvas);
    try {
      this.picture = new Picture(canvas, this.eye);
    } catch {
      this.notice = 'This browser draws no 3D here, so this is the room from above.';
    }
    this.hand = new Hand(canvas, {
      scene: () => this.scene,
      lights: () => this.lights,
      view: () => this.projector(),
      chosen: () => this.chosen,
      orbit: (dx, dy) => this.turn(() => this.eye.orbit(dx, dy)),
      zoom: (factor) => this.turn(() => this.eye.zoom(factor)),
      home: () => this.turn(() => this.eye.reset()),
      pick: (unit, additive) => callbacks.onPick(unit, additive),
      aim: (aiming, phase) => this.aim(aiming, phase),
    });
    canvas.addEventListener('webglcontextlost', this.onLost);
    canvas.addEventListener('webglcontextrestored', this.onRestored);
    this.setTheme('neutral');
    this.resize();
    this.frame = requestAnimationFrame(this.tick);
  }

  /** Takes the show's room and rig. */
  setScene(scene: Scene): void {
    this.scene = scene;
    this.eye.setScene(scene);
    this.picture?.setScene(scene);
    this.reframe();
  }

  /** Takes what the stand-in shows now. */
  setMoment(moment: Moment): void {
    this.live.push(moment, performance.now());
  }

  setSelection(units: number[]): void {
    this.chosen = units;
    this.touchUp();
  }

  setView(view: 'room' | 'plan'): void {
    this.wantedView = view;
    this.touchUp();
  }

  setTheme(theme: Theme): void {
    this.ink.inks = INKS[theme];
    this.picture?.setInk(INKS[theme].page);
    this.touchUp();
  }

  /** Pixels at each side that panels cover; the room is framed in what is left. */
  setInsets(insets: Insets): void {
    const { left, top, right, bottom } = this.insets;
    if (left === insets.left && top === insets.top && right === insets.right && bottom === insets.bottom) return;
    this.insets = { ...insets };
    this.reframe();
  }

  /** Call when the canvas's size on the page has changed. */
  resize(): void {
    const { width, height } = this.canvas.getBoundingClientRect();
    if (width === this.size.width && height === this.size.height) return;
    this.size = { width, height };
    this.ink.setSize(width, height);
    this.reframe();
  }

  dispose(): void {
    cancelAnimationFrame(this.frame);
    this.canvas.removeEventListener('webglcontextlost', this.onLost);
    this.canvas.removeEventListener('webglcontextrestored', this.onRestored);
    this.hand.dispose();
    this.picture?.dispose();
    this.words?.dispose();
    this.ink.canvas.remove();
  }

  /** Draw calls of the last frame, milliseconds that its commands took, frames a second while drawing. */
  stats(): { drawCalls: number; frameMs: number; fps: number } {
    const n = this.drawn.length;
    const span = n > 1 ? (this.drawn[n - 1] ?? 0) - (this.drawn[0] ?? 0) : 0;
    return { drawCalls: this.picture?.drawCalls() ?? 0, frameMs: this.cost, fps: span > 0 ? ((n - 1) * 1000) / span : 0 };
  }

  private view(): 'room' | 'plan' {
    return this.picture && !this.notice ? this.wantedView : 'plan';
  }

  private projector(): Projector {
    return this.view() === 'plan' ? this.planEye : this.eye;
  }

  private reframe(): void {
    const { width, height } = this.size;
    if (width < 2 || height < 2) return;
    this.eye.setSize(width, height, this.insets);
    this.picture?.setSize(width, height, this.insets);
    if (this.scene) this.planEye.fit(this.scene, width, height, this.insets);
    this.touchUp();
  }

  private turn(change: () => void): void {
    if (this.view() !== 'room') return;
    change();
    this.touchUp();
  }

  private touchUp(): void {
    this.dirty = true;
  }

  private aim(aiming: Aiming, phase: 'start' | 'move' | 'end'): void {
    this.aiming = phase === 'end' ? null : aiming;
    this.callbacks.onAim(aiming.unit, aiming.at, phase);
    this.touchUp();
  }

  private readonly onLost = (event: Event): void => {
    event.preventDefault();
    this.notice = 'The 3D picture was lost; this is the room from above.';
    this.touchUp();
  };

  private readonly onRestored = (): void => {
    this.notice = null;
    this.picture?.restored();
    this.touchUp();
  };

  /** How much of a strobing beam shows now: all of them on one clock, three flashes a second at most. */
  private flashAt(now: number): (beam: Beam) => number {
    const rates = this.lights.flatMap((light) => light.beams.map((beam) => beam.strobeHz));
    const rate = Math.min(MOST_FLASHES_HZ, Math.max(0, ...rates));
    const lit = this.still.matches ? 0.5 : ((now / 1000) * rate) % 1 < 0.28 ? 1 : 0.04;
    return (beam) => (beam.strobeHz > 0 ? lit : 1);
  }

  private readonly tick = (now: number): void => {
    this.frame = requestAnimationFrame(this.tick);
    if (!this.scene || this.size.width < 2) return;
    const gap = this.last ? now - this.last : 0;
    this.last = now;
    const start = performance.now();
    this.lights = this.live.lights(start);
    const moved = this.picture?.take(this.lights, this.flashAt(now), Math.min(0.25, gap / 1000)) ?? !this.live.settled(start);
    if (!moved && !this.dirty) {
      if (now - this.lastChange > REST_MS && this.view() === 'room') this.picture?.drawFine();
      return;
    }
    this.lastChange = now;
    this.dirty = false;
    this.draw();
    this.cost = performance.now() - start;
    this.measure(now, gap);
  };

  private draw(): void {
    const { scene, ink } = this;
    if (!scene) return;
    const { left, top, right, bottom } = this.insets;
    const { width, height } = this.size;
    const open = { left: left * 0.85, top: top * 0.6, right: width - right, bottom: height - bottom };
    const state = { lights: this.lights, chosen: this.chosen, aiming: this.aiming, notice: this.notice, open };
    let wishes;
    if (this.view() === 'plan') wishes = drawPlan(ink, this.planEye, scene, state);
    else {
      this.picture?.draw();
      wishes = drawStrokes(ink, this.eye, scene, state);
    }
    const labels = place(wishes, open);
    if (this.view() === 'plan') patchNumbers(ink, labels);
    this.words?.show(labels, this.chosen, ink.inks.text, ink.inks.bright);
    const told = JSON.stringify(labels);
    if (told !== this.told) this.callbacks.onLabels?.(labels);
    this.told = told;
  }

  private measure(now: number, gap: number): void {
    // A gap longer than this is a hidden page or a first compile, not a slow frame.
    if (gap > 1500) this.drawn = [];
    this.drawn.push(now);
    if (this.drawn.length > 16) this.drawn.shift();
    const slow = this.drawn.length === 16 && now - (this.drawn[0] ?? now) > 15 * SLOW_MS;
    if (slow && this.view() === 'room' && this.picture?.coarser()) this.drawn = [];
    this.quick = gap < QUICK_MS ? this.quick + 1 : 0;
    if (this.quick < QUICK_FRAMES) return;
    this.quick = 0;
    this.picture?.finer();
  }
}
