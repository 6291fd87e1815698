import type { LuxView, Moment, Scene } from '../wire.gen';
import { alongScreen } from './along';
import { Eye, type Focus, type Insets, type Projector } from './eye';
import { scale, type V3 } from './geometry';
import { Ink, INKS, type Theme } from './ink';
import { Live, type Beam, type LiveLight } from './live';
import { Pace } from './pace';
import { Picture } from './picture';
import { drawPlan, PlanEye } from './plan';
import { pathsNow } from './paths';
import { drawStrokes, type StrokeState } from './strokes';
import { ballRound, beamOf, drawSighting, movedOn, outgrown, planRings, type PlanSights, type Sighting } from './sights';
import { Hand, type Aiming } from './touch';
import { place, Words, type Label, type Wish } from './words';

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

/** The page never draws more flashes a second than this, whatever the light does. */
const MOST_FLASHES_HZ = 3;
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
  private sighting: Sighting | null = null;
  private planSights: PlanSights | null = null;
  private lux: LuxView | null = null;
  private focus: Focus | null = null;
  private wantedView: 'room' | 'plan' = 'room';
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
      mayAim: () => this.sighting === null,
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
    this.touchOver();
  }

  /** A light level map under the plan; `null` for none. */
  setLux(lux: LuxView | null): void {
    this.lux = lux;
    this.touchOver();
  }

  setView(view: 'room' | 'plan'): void {
    this.wantedView = view;
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
    clearTimeout(this.pause);
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

  /** Keeps spot and mark in sight; answers whether the eye is on its way. */
  private follow(ms: number): boolean {
    const { sighting, scene } = this;
    if (sighting && scene && this.view() === 'room') {
      const mark = scene.room.marks.find((one) => one.name === sighting.mark)?.at;
      const beam = beamOf(this.lights, sighting.unit);
      const wanted = ballRound(beam, mark);
      const { left, top, right, bottom } = this.insets;
      const frame = { left, top, right: this.size.width - right, bottom: this.size.height - bottom };
      if (wanted && (!this.focus || outgrown(this.eye, frame, this.focus, wanted))) {
        this.focus = wanted;
        this.eye.setFocus(wanted, !this.still.matches);
        this.dirty = true;
      }
    }
    return this.eye.advance(ms);
  }

  private touchUp(): void {
    this.dirty = true;
  }

  /** Strokes and words change, the room under them does not. */
  private touchOver(): void {
    if (this.view() === 'plan') this.dirty = true;
    this.overDirty = true;
  }

  private aim(aiming: Aiming, phase: 'start' | 'move' | 'end'): void {
    this.aiming = phase === 'end' ? null : aiming;
    this.callbacks.onAim(aiming.unit, aiming.at, phase);
    this.touchOver();
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
    if (this.overDirty && this.view() === 'room') this.drawOver();
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
    this.next();
  };

  /** Begins what is to be drawn next, if anything. */
  private step(now: number, start: number, unfinished: boolean): void {
    const gap = this.last ? now - this.last : 0;
    this.last = now;
    this.lights = this.live.lights(start);
    if (this.follow(gap)) this.dirty = true;
    const settled = this.live.settled(start) ? 'none' : 'lights';
    const change = this.picture?.take(this.lights, this.flashAt(now), Math.min(0.25, gap / 1000)) ?? settled;
    const plan = this.view() === 'plan';
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
    this.picture?.show();
    this.drawOver();
    this.cost = performance.now() - start;
    this.measure(now);
  }

  /** Draws strokes and words over the picture, or the plan. */
  private drawOver(): void {
    const { scene, ink } = this;
    if (!scene) return;
    this.overDirty = false;
    const { left, top, right, bottom } = this.insets;
    const { width, height } = this.size;
    const open = { left: left * 0.85, top: top * 0.6, right: width - right, bottom: height - bottom };
    const paths = this.sighting ? [] : pathsNow(scene, this.live.latest(), this.chosen);
    const state = { lights: this.lights, paths, chosen: this.chosen, aiming: this.aiming, notice: this.notice, open };
    const plan = this.view() === 'plan';
    const rings = (this.planSights?.misses ?? []).flatMap((one) => planRings(scene, one));
    const labels = plan ? drawPlan(ink, this.planEye, scene, { ...state, rings, sights: this.planSights, lux: this.lux }) : place(this.strokes(scene, state), open);
    this.words?.show(labels, this.chosen, ink.inks.text, ink.inks.bright);
    const told = JSON.stringify(labels);
    if (told !== this.told) this.callbacks.onLabels?.(labels);
    this.told = told;
  }

  private strokes(scene: Scene, state: StrokeState): Wish[] {
    if (!this.sighting) return drawStrokes(this.ink, this.eye, scene, state);
    this.ink.clear(state.open);
    return drawSighting(this.ink, this.eye, scene, this.lights, this.sighting);
  }

  private measure(now: number): void {
    this.drawn.push(now);
    if (this.drawn.length > 16) this.drawn.shift();
    const middle = this.pace.cost();
    if (middle !== null && this.view() === 'room' && this.picture?.costs(middle)) this.pace.forget();
  }
}
