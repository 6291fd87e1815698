import { RoomView, type Way } from '../src/room/view';
import type { Moment, Scene } from '../src/wire.gen';

// The picture driven by hand, one frame after another. The clock stands still while the graphics are waited for, so
// that what is measured is the page's own time.
let frame: FrameRequestCallback | null = null;
window.requestAnimationFrame = (run) => {
  frame = run;
  return 1;
};
const clock = performance.now.bind(performance);
let waited = 0;
performance.now = () => clock() - waited;

let view: RoomView;
let moments: Moment[] = [];
let count = 0;
const canvas = document.getElementById('room') as HTMLCanvasElement;

/** Shows a scene as on a machine with a graphics card. */
function start(scene: Scene, recorded: Moment[], way: Way): void {
  moments = recorded;
  view = new RoomView(canvas, { onPick() {}, onAim() {} }, { card: true });
  view.setScene(scene);
  view.setView(way);
}

/** One frame: what the page did for it, in milliseconds, and what it asked of the card. */
async function once() {
  // Moments come 44 times a second, frames 60 times: three moments for four frames.
  const moment = count % 4 === 3 ? undefined : moments[Math.floor((count * 3) / 4) % moments.length];
  count += 1;
  const before = view.stats().frames;
  const begun = performance.now();
  if (moment) view.setMoment(moment);
  const run = frame;
  frame = null;
  run?.(begun);
  const ms = performance.now() - begun;
  const began = clock();
  canvas.getContext('webgl2')?.readPixels(0, 0, 1, 1, 6408, 5121, new Uint8Array(4));
  waited += clock() - began;
  await new Promise((done) => setTimeout(done, 16));
  const stats = view.stats();
  return { ms, drew: stats.frames > before, ...stats };
}

Object.assign(window, { bench: { start, once } });
