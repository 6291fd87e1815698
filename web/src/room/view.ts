import type { LuxView, Moment, Scene } from '../wire.gen';
import { alongScreen } from './along';
import { Eye, type Focus, type Insets, type Projector } from './eye';
import { Flashes } from './flashes';
import { FlatEye, type FlatSide } from './flat';
import { scale, type V3 } from './geometry';
import { INKS, type Theme } from './ink';
import { Live, type LiveLight } from './live';
import { Over } from './over';
import { Pace } from './pace';
import { Picture } from './picture';
import { PlanEye } from './plan';
import { pathsNow } from './paths';
import { ballRound, beamOf, movedOn, outgrown, type PlanSights, type Sighting } from './sights';
import { Hand, type Aiming } from './touch';
import type { Label } from './words';

export type { Insets } from './eye';
export type { Misses, PlanSights, Sighting } from './sights';
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

/**
 * Ways to look at the room: the evening as from the audience; drawings to scale of the live room from above, from the
 * front and from the side; and the rig plan, a drawing of cables and sockets.
 */
export type Way = 'evening' | FlatSide | 'rig';

/** Without change for so long, the picture is drawn once more as finely as it can be. */
const REST_MS = 600;
/** How often a card at work is asked whether it is done. */
const POLL_MS = 8;

/**
 * The picture of the room: the lit hall, or its plan from above. It draws only when something has changed, follows the
 * moments smoothly in between, and shows the plan alone where the browser has no WebGL 2.
 */
export class RoomView {
  private readonly eye = new Eye();
  private readonly planEye = new PlanEye();
  private readonly flatEye = new FlatEye();
  private readonly flashes = new Flashes();
  private readonly live = new Live();
  private readonly over: Over;
  private readonly hand: Hand;
  private readonly still = matchMedia('(prefers-reduced-motion: reduce)');
  private picture: Picture | null = null;
  private notice: string | null = null;
  private scene: Scene | null = null;
  private lights: LiveLight[] = [];
  private chosen: readonly number[] = [];
  private aiming: Aiming | null = null;
  private sighting: Sighting | null = null;
  private planSights: PlanSights | null = null;
  private lux: LuxView | null = null;
  private focus: Focus | null = null;
  private wanted: Way = 'evening';
  private figures = true;
  private insets: Insets = { left: 0, top: 0, right: 0, bottom: 0 };
  private size = { width: 0, height: 0 };
  private readonly pace = new Pace();
  private dirty = true;
  private overDirty = false;
  private frame = 0;
  private pause: ReturnType<typeof setTimeout> | undefined;
  private last = 0;
  private lastChange = 0;
  private drawn: number[] = [];
  private script = 0;
  private shown = 0;

  /** `card` takes the machine for one with a graphics card, for measuring. */
  constructor(private readonly canvas: HTMLCanvasElement, private readonly callbacks: RoomCallbacks, { card = false } = {}) {
    this.over = new Over(canvas, callbacks.onLabels && ((labels) => callbacks.onLabels?.(labels)));
    try {
      this.picture = new Picture(canvas, this.eye, card);
    } catch {
      this.notice = 'This browser draws no 3D here, so this is the room from above.';
    }
    this.hand = new Hand(canvas, {
      scene: () => this.scene,
      lights: () => this.lights,
      view: () => this.projector(),
      chosen: () => this.chosen,
      mayAim: () => this.sighting === null,
      orbit: (dx, dy) => this.turn((flat) => (flat ? flat.pan(dx, dy) : this.eye.orbit(dx, dy))),
      zoom: (factor, at) => this.turn((flat) => (flat ? flat.zoom(factor, at) : this.eye.zoom(factor))),
      home: () => this.turn((flat) => (flat ?? this.eye).reset()),
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
    const before = this.scene;
    this.scene = scene;
    this.eye.setScene(scene);
    this.flatEye.setScene(scene);
    // A look that was changed builds no walls.
    if (before?.room !== scene.room || before.units !== scene.units) this.furnish();
    this.reframe();
  }

  /** Takes what the stand-in shows now. */
  setMoment(moment: Moment): void {
    this.live.push(moment, performance.now());
  }

  setSelection(units: number[]): void {
    this.chosen = units;
    this.touchOver();
  }

  /** A light level map under the plan; `null` for none. */
  setLux(lux: LuxView | null): void {
    this.lux = lux;
    this.touchOver();
  }

  setView(view: Way): void {
    if (this.wanted === view) return;
    this.wanted = view;
    this.lookFrom();
    this.touchUp();
  }

  /** People-sized figures for scale, or none. */
  setFigures(on: boolean): void {
    if (this.figures === on) return;
    this.figures = on;
    this.furnish();
    this.touchUp();
  }

  /** Comes close to a light's spot and the mark that it is brought onto; `null` goes back to the whole room. */
  setSighting(sighting: Sighting | null): void {
    const before = this.sighting;
    this.sighting = sighting;
    if (before?.unit !== sighting?.unit || before?.mark !== sighting?.mark) this.focus = null;
    if (!sighting) {
      this.focus = null;
      this.eye.setFocus(null, !this.still.matches);
    }
    this.touchUp();
  }

  /** Makes the plan show the marks and how well they are known, for one light or for several over each other. */
  setPlanSights(sights: PlanSights | null): void {
    this.planSights = sights;
    this.touchUp();
  }

  /**
   * The way in the room that goes straight `right` and `down` on the picture, a unit vector: along the surface under the
   * light's spot; where the beam is brought onto a mark in the air, or meets nothing, across the beam.
   */
  towards(unit: number, right: number, down: number): V3 | null {
    const beam = beamOf(this.live.lights(performance.now()), unit);
    if (!beam) return null;
    const mark = this.sighting?.unit === unit ? this.scene?.room.marks.find((one) => one.name === this.sighting?.mark)?.at : undefined;
    const { at, normal } = movedOn(beam, mark);
    const view = this.projector();
    const on = view.project(at);
    return alongScreen(view, at, normal, right, down) ?? alongScreen(view, at, scale(view.ray(on.x, on.y).along, -1), right, down);
  }

  setTheme(theme: Theme): void {
    this.over.setTheme(theme);
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
    this.over.setSize(width, height);
    this.reframe();
  }

  dispose(): void {
    cancelAnimationFrame(this.frame);
    clearTimeout(this.pause);
    this.canvas.removeEventListener('webglcontextlost', this.onLost);
    this.canvas.removeEventListener('webglcontextrestored', this.onRestored);
    this.hand.dispose();
    this.picture?.dispose();
    this.over.dispose();
  }

  /**
   * Draw calls and triangles of the last frame, milliseconds of the page's own time for it (the card's not counted),
   * frames a second while drawing, and how many there were.
   */
  stats(): { drawCalls: number; triangles: number; frameMs: number; fps: number; frames: number } {
    const n = this.drawn.length;
    const span = n > 1 ? (this.drawn[n - 1] ?? 0) - (this.drawn[0] ?? 0) : 0;
    return { drawCalls: this.picture?.drawCalls() ?? 0, triangles: this.picture?.triangles() ?? 0, frameMs: this.script, frames: this.shown, fps: span > 0 ? ((n - 1) * 1000) / span : 0 };
  }

  /** What is drawn: without 3D there is no evening, but there are drawings. */
  private view(): Way {
    return this.drawsRoom() || this.wanted !== 'evening' ? this.wanted : 'rig';
  }

  private drawsRoom(): boolean {
    return this.picture !== null && this.notice === null;
  }

  /** The drawing to scale that is open, if one is. */
  private flat(): FlatSide | null {
    const view = this.view();
    return view === 'evening' || view === 'rig' ? null : view;
  }

  /** No lit picture is drawn: the rig plan is all strokes, and so is a drawing where there is no 3D. */
  private strokesOnly(): boolean {
    return this.view() === 'rig' || !this.drawsRoom();
  }

  private projector(): Projector {
    return this.view() === 'rig' ? this.planEye : this.flat() ? this.flatEye : this.eye;
  }

  private furnish(): void {
    if (this.scene) this.picture?.setScene(this.scene, this.figures);
  }

  private lookFrom(): void {
    const side = this.flat();
    if (side) this.flatEye.turnTo(side);
    this.picture?.setEye(side ? this.flatEye : this.eye, side);
  }

  private reframe(): void {
    const { width, height } = this.size;
    if (width < 2 || height < 2) return;
    this.eye.setSize(width, height, this.insets);
    this.flatEye.setSize(width, height, this.insets);
    this.picture?.setSize(width, height, this.insets);
    if (this.scene) this.planEye.fit(this.scene, width, height, this.insets);
    this.touchUp();
  }

  private turn(change: (flat: FlatEye | null) => void): void {
    if (this.view() === 'rig') return;
    change(this.flat() ? this.flatEye : null);
    this.touchUp();
  }

  /** Keeps spot and mark in sight; answers whether the eye is on its way. */
  private follow(ms: number): boolean {
    const { sighting, scene } = this;
    if (sighting && scene && this.view() === 'evening') {
      const mark = scene.room.marks.find((one) => one.name === sighting.mark)?.at;
      const beam = beamOf(this.lights, sighting.unit);
      const wanted = ballRound(beam, mark);
      const { left, top, right, bottom } = this.insets;
      const frame = { left, top, right: this.size.width - right, bottom: this.size.height - bottom };
      if (wanted && (!this.focus || outgrown(this.eye, frame, this.focus, wanted))) {
        this.focus = wanted;
        this.eye.setFocus(wanted, !this.still.matches);
        this.touchUp();
      }
    }
    return this.eye.advance(ms);
  }

  private touchUp(): void {
    this.dirty = true;
    this.over.spoil();
  }

  /** Strokes and words change, the room under them does not; `still`: also those that stand still. */
  private touchOver(still = true): void {
    if (this.strokesOnly()) this.dirty = true;
    this.overDirty = true;
    if (still) this.over.spoil();
  }

  private aim(aiming: Aiming, phase: 'start' | 'move' | 'end'): void {
    // On a drawing only the mark that has caught the spot is drawn otherwise.
    const moved = phase === 'move' && this.view() !== 'evening' && this.aiming?.mark === aiming.mark;
    this.aiming = phase === 'end' ? null : aiming;
    this.callbacks.onAim(aiming.unit, aiming.at, phase);
    this.touchOver(!moved);
  }

  private readonly onLost = (event: Event): void => {
    event.preventDefault();
    this.notice = 'The 3D picture was lost; this is the room from above.';
    this.lookFrom();
    this.touchUp();
  };

  private readonly onRestored = (): void => {
    this.notice = null;
    this.picture?.restored();
    this.lookFrom();
    this.touchUp();
  };

  private readonly next = (): void => {
    this.frame = requestAnimationFrame(this.tick);
  };

  private readonly again = (ms: number): void => {
    this.pause = setTimeout(this.next, ms);
  };

  /** Asks the card again soon, without waiting for the screen. */
  private ask(): void {
    this.pause = setTimeout(() => this.tick(performance.now()), POLL_MS);
  }

  private readonly tick = (now: number): void => {
    if (!this.scene || this.size.width < 2) return this.next();
    const start = performance.now();
    if (this.overDirty && !this.strokesOnly()) this.drawOver();
    const state = this.picture?.state() ?? 'none';
    if (state === 'busy') return this.ask();
    if (state === 'more') this.pace.hold(start);
    if (state === 'ready') {
      this.present(now);
      return this.next();
    }
    const wait = this.pace.wait(start);
    if (wait > 0) return this.again(wait);
    this.step(now, start, state === 'more');
    this.script = performance.now() - start;
    this.next();
  };

  /** Begins what is to be drawn next, if anything. */
  private step(now: number, start: number, unfinished: boolean): void {
    const gap = this.last ? now - this.last : 0;
    this.last = now;
    this.lights = this.live.lights(start);
    if (this.follow(gap)) this.touchUp();
    const settled = this.live.settled(start) ? 'none' : 'lights';
    const change = this.picture?.take(this.lights, this.flashes.at(this.lights, now, this.still.matches), Math.min(0.25, gap / 1000)) ?? settled;
    const plan = this.strokesOnly();
    const resting = now - this.lastChange > REST_MS;
    if (!this.dirty && (change === 'none' || (change === 'air' && resting))) {
      if (plan || !this.picture) return;
      if (unfinished) this.picture.work();
      else if (!resting || !this.picture.beginFine(change === 'air')) return;
      return this.pace.begin(start, false);
    }
    this.lastChange = now;
    this.dirty = false;
    this.pace.begin(start, !plan);
    if (plan) return this.drawOver();
    this.picture?.begin();
    if (this.picture?.state() === 'ready') this.present(now);
  }

  /** Shows the frame that is finished, with its words and strokes. */
  private present(now: number): void {
    const start = performance.now();
    this.pace.hold(start);
    this.shown += 1;
    this.picture?.show();
    this.drawOver();
    this.script += performance.now() - start;
    this.measure(now);
  }

  /** Draws strokes and words over the picture, or the plan. */
  private drawOver(): void {
    const { scene } = this;
    if (!scene) return;
    this.overDirty = false;
    const { left, top, right, bottom } = this.insets;
    const { width, height } = this.size;
    // A drawing's words keep off the page's own; over the evening's dark ceiling they may go a little higher.
    const open = { left: left * 0.85, top: this.flat() ? top : top * 0.6, right: width - right, bottom: height - bottom };
    const paths = this.sighting ? [] : pathsNow(scene, this.live.latest(), this.chosen);
    const { eye, planEye, flatEye, lights, chosen, aiming, notice, sighting, planSights: sights, lux } = this;
    const state = { lights, paths, chosen, aiming, notice, open, sighting, sights, lux, lit: this.drawsRoom() };
    this.over.draw(scene, { way: this.view(), eye, planEye, flatEye }, state);
  }

  private measure(now: number): void {
    this.drawn.push(now);
    if (this.drawn.length > 16) this.drawn.shift();
    const middle = this.pace.cost();
    if (middle !== null && !this.strokesOnly() && this.picture?.costs(middle)) this.pace.forget();
  }
}
