import type { Moment, Scene } from '../wire.gen';

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

/** Pixels that panels cover at each side of the canvas; the room is framed in what is left. */
export type Insets = { left: number; top: number; right: number; bottom: number };

/** The picture of the room. */
export class RoomView {
  constructor(_canvas: HTMLCanvasElement, _callbacks: RoomCallbacks) {}
  setScene(_scene: Scene): void {}
  setMoment(_moment: Moment): void {}
  setSelection(_units: number[]): void {}
  setView(_view: 'room' | 'plan'): void {}
  setTheme(_theme: 'neutral' | 'amber'): void {}
  setInsets(_insets: Insets): void {}
  resize(): void {}
  dispose(): void {}
  stats(): { drawCalls: number; frameMs: number; fps: number } {
    return { drawCalls: 0, frameMs: 0, fps: 0 };
  }
}
