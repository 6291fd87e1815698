import type { Moment, Scene } from '../wire.gen';
import { Eye, type Insets } from './eye';
import { Live } from './live';
import { Picture } from './picture';

export type { Insets } from './eye';

/** One piece of text over the picture, in CSS pixels from the canvas's top left. */
export type Label = {
  id: string;
  text: string;
  x: number;
  y: number;
  /** What it stands beside. */
  kind: 'unit' | 'mark' | 'leg' | 'place' | 'line' | 'address';
};

/** What the picture tells the page. */
export type RoomCallbacks = {
  /** A light was chosen by tapping it, its beam or its spot; `null` when bare room was tapped. */
  onPick(unit: number | null, additive: boolean): void;
  /** A spot is being dragged. */
  onAim(unit: number, at: [number, number, number], phase: 'start' | 'move' | 'end'): void;
  onLabels?(labels: Label[]): void;
};

/** The picture of the room. */
export class RoomView {
  private readonly eye = new Eye();
  private readonly live = new Live();
  private picture: Picture | null = null;
  private insets: Insets = { left: 0, top: 0, right: 0, bottom: 0 };
  private frame = 0;
  private last = 0;
  private times: number[] = [];
  private cost = 0;

  constructor(private readonly canvas: HTMLCanvasElement, readonly callbacks: RoomCallbacks) {
    this.picture = new Picture(canvas, this.eye);
    this.picture.setInk('#0e0d0c');
    this.frame = requestAnimationFrame(this.tick);
  }
  setScene(scene: Scene): void {
    this.eye.setScene(scene);
    this.picture?.setScene(scene);
    this.resize();
  }
  setMoment(moment: Moment): void {
    this.live.push(moment, performance.now());
  }
  setSelection(_units: number[]): void {}
  setView(_view: 'room' | 'plan'): void {}
  setTheme(_theme: 'neutral' | 'amber'): void {}
  setInsets(insets: Insets): void {
    this.insets = insets;
    this.resize();
  }
  resize(): void {
    const box = this.canvas.getBoundingClientRect();
    this.eye.setSize(box.width, box.height, this.insets);
    this.picture?.setSize(box.width, box.height, this.insets);
  }
  dispose(): void {
    cancelAnimationFrame(this.frame);
    this.picture?.dispose();
  }
  stats(): { drawCalls: number; frameMs: number; fps: number } {
    const n = this.times.length;
    const span = n > 1 ? (this.times[n - 1] ?? 0) - (this.times[0] ?? 0) : 0;
    return { drawCalls: this.picture?.drawCalls() ?? 0, frameMs: this.cost, fps: span > 0 ? ((n - 1) * 1000) / span : 0 };
  }

  private readonly tick = (now: number): void => {
    this.frame = requestAnimationFrame(this.tick);
    const dt = this.last ? Math.min(0.25, (now - this.last) / 1000) : 0;
    this.last = now;
    const start = performance.now();
    this.picture?.take(this.live.lights(now), () => 1, dt);
    this.picture?.draw();
    this.cost = performance.now() - start;
    this.times.push(now);
    if (this.times.length > 30) this.times.shift();
  };
}
