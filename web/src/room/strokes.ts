import type { MarkView, Scene, UnitView } from '../wire.gen';
import { strobe as strokes } from './drawing';
import type { Projector, ScreenPoint } from './eye';
import { length, rotate, sub, type V3 } from './geometry';
import type { Ink } from './ink';
import type { LiveLight } from './live';
import { drawPaths } from './paths';
import type { Aiming } from './touch';
import type { Open, Wish } from './words';

export type StrokeState = { lights: LiveLight[]; chosen: readonly number[]; aiming: Aiming | null; open: Open; paths: readonly V3[][] };

/** Lights past which only the chosen ones and those of their place carry numbers. */
const NUMBERS_UP_TO = 40;

/** Draws on the lit room what moves with the lights: ring, spot outline, paths, the strokes of a flash, the legs of an aim. */
export function drawStrokes(ink: Ink, view: Projector, scene: Scene, state: StrokeState): void {
  ink.clear(state.open);
  drawPaths(ink, view, state.paths);
  const lights = new Map(state.lights.map((light) => [light.unit, light]));
  const chosen = scene.units.filter((unit) => state.chosen.includes(unit.number));
  for (const unit of scene.units) strobe(ink, view, unit, lights.get(unit.number));
  for (const unit of chosen) ring(ink, view, unit, lights.get(unit.number));
  if (state.chosen.length <= 6) for (const unit of chosen) spot(ink, view, lights.get(unit.number), state.aiming);
  if (state.aiming) legs(ink, view, scene, state.aiming);
}

/** Draws the marks, where they are wanted, and answers the words on the lit room: they stand still while the eye does and nothing is aimed. */
export function drawMarks(ink: Ink, view: Projector, scene: Scene, state: Pick<StrokeState, 'chosen' | 'aiming' | 'open'>): Wish[] {
  const wishes: Wish[] = [];
  ink.clear(state.open);
  const chosenUnits = scene.units.filter((unit) => state.chosen.includes(unit.number));
  if (state.aiming || chosenUnits.some((unit) => unit.moves)) marks(ink, view, scene, state.aiming, wishes);
  for (const unit of scene.units) {
    const chosen = state.chosen.includes(unit.number);
    if (scene.units.length > NUMBERS_UP_TO && state.chosen.length > 0 && !chosen) {
      if (!chosenUnits.some((other) => other.place === unit.place)) continue;
    }
    const tall = chosen ? 12 : 0;
    wishes.push({
      id: `unit ${unit.number}`, text: String(unit.number), kind: 'unit', at: crown(view, unit), dy: -16 - tall, rank: chosen ? 9 : 6,
    });
  }
  if (state.aiming) legWords(view, scene, state.aiming, wishes);
  return wishes;
}

/** The top of a body on the screen, where its number stands. */
function crown(view: Projector, unit: UnitView): ScreenPoint {
  const down = rotate(unit.rotation, [0, 0, -1]);
  const top = Math.max(0.06, down[2] * unit.size[2]);
  return view.project([unit.at[0], unit.at[1], unit.at[2] + top]);
}

function middleOf(unit: UnitView): V3 {
  const down = rotate(unit.rotation, [0, 0, -0.55 * unit.size[2]]);
  return [unit.at[0] + down[0], unit.at[1] + down[1], unit.at[2] + down[2]];
}

function ring(ink: Ink, view: Projector, unit: UnitView, light: LiveLight | undefined): void {
  const middle = middleOf(unit);
  const at = view.project(middle);
  const edge = view.project([middle[0], middle[1], middle[2] + 0.62 * Math.max(unit.size[2], 0.5 * unit.size[0])]);
  const radius = Math.max(15, Math.hypot(edge.x - at.x, edge.y - at.y));
  ink.circle(at, radius, { colour: ink.inks.bright, width: light?.held ? 2.8 : 2 });
}

function spot(ink: Ink, view: Projector, light: LiveLight | undefined, aiming: Aiming | null): void {
  for (const beam of light?.beams ?? []) {
    if (!beam.spot) continue;
    const held = aiming?.unit === beam.unit;
    const pen = { colour: ink.inks.bright, width: held ? 2.2 : 1.4, ...(held ? {} : { dash: [5, 5], halo: false }) };
    ink.ellipse(view, beam.spot.centre, beam.spot.major, beam.spot.minor, pen);
    if (!held) ink.plus(view.project(beam.spot.at), 7, { colour: ink.inks.bright, width: 1.8 });
  }
}

/** Three still strokes at the lens of a light that flashes. */
function strobe(ink: Ink, view: Projector, unit: UnitView, light: LiveLight | undefined): void {
  const beam = light?.beams.find((one) => one.strobeHz > 0 && one.level > 0.004);
  if (!beam) return;
  const at = view.project(unit.moves ? beam.from : middleOf(unit));
  strokes(ink, { ...at, y: at.y + 26 });
}

function marks(ink: Ink, view: Projector, scene: Scene, aiming: Aiming | null, wishes: Wish[]): void {
  const near = aiming && nearest(scene.room.marks, aiming.at);
  for (const mark of scene.room.marks) {
    const at = view.project(mark.at);
    const strong = near?.name === mark.name;
    ink.cross(at, strong ? 6 : 4.5, { colour: strong ? ink.inks.bright : ink.inks.soft, width: strong ? 2 : 1.4 });
    wishes.push({
      id: `mark ${mark.name}`, text: mark.name, kind: 'mark', at, dx: -12 - mark.name.length * 3.6, rank: strong ? 8 : 2,
    });
  }
}

function nearest(marks: MarkView[], at: V3): MarkView | null {
  let best: MarkView | null = null;
  for (const mark of marks) if (!best || length(sub(mark.at, at)) < length(sub(best.at, at))) best = mark;
  return best;
}

/** The corners of two measured legs from the nearest mark: across the room, then along it; none where a mark has caught the spot. */
function stopsOf(scene: Scene, aiming: Aiming): V3[] {
  const mark = nearest(scene.room.marks, aiming.at);
  if (!mark || aiming.mark) return [];
  return [mark.at, [aiming.at[0], mark.at[1], mark.at[2]], [aiming.at[0], aiming.at[1], mark.at[2]]];
}

function legs(ink: Ink, view: Projector, scene: Scene, aiming: Aiming): void {
  ink.plus(view.project(aiming.at), 10, { colour: ink.inks.bright, width: 2 });
  ink.line(stopsOf(scene, aiming).map((p) => view.project(p)), { colour: ink.inks.bright, width: 1.6, dash: [6, 4] });
}

function legWords(view: Projector, scene: Scene, aiming: Aiming, wishes: Wish[]): void {
  const stops = stopsOf(scene, aiming);
  stops.slice(1).forEach((b, i) => {
    const a = stops[i] as V3;
    const metres = length(sub(b, a));
    if (metres < 0.05) return;
    const p = view.project([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2]);
    wishes.push({ id: `leg ${i}`, text: `${metres.toFixed(2)} m`, kind: 'leg', at: p, dx: i ? 34 : 0, dy: i ? 0 : -14, rank: 10 });
  });
}
