import type { LuxView, Scene } from '../wire.gen';
import { drawLive, drawStill } from './drawing';
import type { Eye } from './eye';
import type { FlatEye, FlatSide } from './flat';
import { Ink, INKS, type Theme } from './ink';
import { drawPlan, drawPlanLive, type PlanEye } from './plan';
import { drawSighting, type PlanSights, type Sighting } from './sights';
import { drawMarks, drawStrokes, type StrokeState } from './strokes';
import { place, Words, type Label } from './words';

/** How the room is looked at: which picture, and through which eye. */
export type Seen = { way: 'evening' | 'rig' | FlatSide; eye: Eye; planEye: PlanEye; flatEye: FlatEye };

/** What lies over it: the strokes' state and what only some pictures show. */
export type OverState = StrokeState & {
  notice: string | null;
  /** There is a lit picture under the strokes. */
  lit: boolean;
  sighting: Sighting | null;
  sights: PlanSights | null;
  lux: LuxView | null;
};

/**
 * Strokes and words over the picture, on two sheets: below what moves with the lights, drawn in every frame, above what
 * stands still, drawn and measured again only when it has become `stale`.
 */
export class Over {
  private readonly moving: Ink;
  private readonly still: Ink;
  private readonly words: Words | null;
  private stale = true;
  private told = '';

  /** `tell` hears the words each time they change; without it they are drawn here. */
  constructor(beside: HTMLCanvasElement, private readonly tell?: (labels: Label[]) => void) {
    this.moving = new Ink(beside);
    this.still = new Ink(this.moving.canvas);
    this.words = tell ? null : new Words(this.still.canvas);
    // Words are measured in the page's fonts, which may come later than the first picture.
    document.fonts?.addEventListener('loadingdone', this.spoil);
  }

  setTheme(theme: Theme): void {
    this.moving.inks = this.still.inks = INKS[theme];
    this.stale = true;
  }

  setSize(width: number, height: number): void {
    this.moving.setSize(width, height);
    this.still.setSize(width, height);
    this.stale = true;
  }

  /** What stands still is other than it was. */
  readonly spoil = (): void => {
    this.stale = true;
  };

  draw(scene: Scene, seen: Seen, state: OverState): void {
    const sighted = seen.way === 'evening' && state.sighting;
    // Sighting in follows the spot with all it shows.
    if (sighted) {
      if (this.stale) this.still.clear(state.open);
      this.moving.clear(state.open);
      this.say(place(drawSighting(this.moving, seen.eye, scene, state.lights, sighted), state.open), state.chosen);
    } else {
      this.drawMoving(scene, seen, state);
      if (this.stale) this.say(this.drawStill(scene, seen, state), state.chosen);
    }
    this.stale = false;
  }

  dispose(): void {
    document.fonts?.removeEventListener('loadingdone', this.spoil);
    this.words?.dispose();
    this.moving.canvas.remove();
    this.still.canvas.remove();
  }

  private drawMoving(scene: Scene, { way, eye, planEye, flatEye }: Seen, state: OverState): void {
    if (way === 'evening') drawStrokes(this.moving, eye, scene, state);
    else if (way === 'rig') drawPlanLive(this.moving, planEye, scene, state);
    else drawLive(this.moving, flatEye, scene, { ...state, side: way });
  }

  private drawStill(scene: Scene, { way, eye, planEye, flatEye }: Seen, state: OverState): Label[] {
    if (way === 'evening') return place(drawMarks(this.still, eye, scene, state), state.open);
    if (way === 'rig') return drawPlan(this.still, planEye, scene, state);
    return drawStill(this.still, flatEye, scene, { ...state, side: way, mark: state.aiming?.mark ?? null });
  }

  private say(labels: Label[], chosen: readonly number[]): void {
    this.words?.show(labels, chosen, this.still.inks.text, this.still.inks.bright);
    const told = JSON.stringify(labels);
    if (told !== this.told) this.tell?.(labels);
    this.told = told;
  }
}
