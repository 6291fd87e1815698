import type { PlaceView, Scene, Spot, UnitView } from '../wire.gen';
import {
  ABOVE, BELOW, CORNERS, EDGES, FAINT, further, LEFT, placeBeside, RIGHT, strokeBox, type Beside, type Ground,
} from './beside';
import type { ScreenPoint } from './eye';
import type { FlatEye, FlatSide } from './flat';
import { add, normalize, rotate, sub, type V3 } from './geometry';
import { traceEllipse, type Ink, type Pen } from './ink';
import type { LiveLight } from './live';
import { drawPaths } from './paths';
import { nearest, screenColour } from './plan';
import { drawSymbol } from './symbols';
import type { Aiming } from './touch';
import type { Label, Open } from './words';

/** What a drawing to scale shows over the lit picture. */
export type DrawingState = {
  side: FlatSide;
  lights: readonly LiveLight[];
  chosen: readonly number[];
  aiming: Aiming | null;
  paths: readonly V3[][];
  open: Open;
  notice: string | null;
  /** There is a lit picture under the strokes. */
  lit: boolean;
};
/** As much of it as stands still while the lights play. */
export type StillState = Pick<DrawingState, 'side' | 'chosen' | 'open' | 'notice'> & { mark: string | null };

type Sheet = { ink: Ink; eye: FlatEye; scene: Scene; state: StillState; wishes: Beside[]; ground: Ground };

/** As the style sheet sets them. */
const FONTS = { unit: "500 15px 'Atkinson Hyperlegible Next', system-ui, sans-serif", fact: "400 14px 'Atkinson Hyperlegible Next', system-ui, sans-serif" };

const CAPTION: Record<FlatSide, string> = { plan: 'from above', front: 'from the audience', side: 'from the right, audience at the left' };

/** Draws what moves with the lights on a drawing to scale: beams, spots, paths, which way a lamp shines, flashes. */
export function drawLive(ink: Ink, eye: FlatEye, scene: Scene, state: DrawingState): void {
  ink.clear(state.open, state.lit ? undefined : ink.inks.page);
  beams(ink, eye, state);
  drawPaths(ink, eye, state.paths);
  if (state.side !== 'plan') noses(ink, eye, scene, state);
  flashing(ink, eye, scene, state);
  if (state.aiming) ink.plus(eye.project(state.aiming.at), 10, { colour: ink.inks.bright, width: 2 });
}

/** Draws grid, outlines, heights, marks and lights of a drawing to scale, and answers its words, none over another. */
export function drawStill(ink: Ink, eye: FlatEye, scene: Scene, state: StillState): Label[] {
  const sheet: Sheet = { ink, eye, scene, state, wishes: [], ground: { solid: [], lines: [] } };
  ink.clear(state.open);
  grid(sheet);
  outline(sheet);
  for (const place of scene.room.places) if (place.kind !== 'floor') hung(sheet, place);
  marks(sheet);
  const size = state.side === 'plan' ? planSize(eye, scene.units) : symbolSize(eye);
  for (const unit of scene.units) lamp(sheet, unit, size);
  if (state.side !== 'plan') staff(sheet);
  ruler(sheet);
  return placeBeside(sheet.wishes, state.open, sheet.ground, (text, kind) =>
    ink.measure(text.replace(/\d/g, '0'), FONTS[kind === 'unit' ? 'unit' : 'fact']) + 1);
}

const dot = (x: number, y: number): ScreenPoint => ({ x, y, front: true });

/** A line every metre, a little stronger every five, from the room's own origin. */
function grid(sheet: Sheet): void {
  const { ink, eye, scene: { room }, state } = sheet;
  const { left, right, top, bottom } = sheet.eye.box();
  const across = state.side === 'side' ? room.y : room.x;
  const upward = state.side === 'plan' ? room.y : [0, room.height];
  const onX = (m: number) => eye.project(state.side === 'side' ? [0, m, 0] : [m, 0, 0]).x;
  const onY = (m: number) => eye.project(state.side === 'plan' ? [0, m, 0] : [0, 0, m]).y;
  ink.draw((c) => {
    c.strokeStyle = ink.inks.soft;
    c.lineWidth = 1;
    const stroke = (m: number, shape: () => void) => {
      c.globalAlpha = m % 5 === 0 ? 0.26 : 0.11;
      c.beginPath();
      shape();
      c.stroke();
    };
    for (let m = Math.ceil(across[0] ?? 0); m <= (across[1] ?? 0); m++) {
      const x = Math.round(onX(m)) + 0.5;
      stroke(m, () => (c.moveTo(x, top), c.lineTo(x, bottom)));
    }
    for (let m = Math.ceil(upward[0] ?? 0); m <= (upward[1] ?? 0); m++) {
      const y = Math.round(onY(m)) + 0.5;
      stroke(m, () => (c.moveTo(left, y), c.lineTo(right, y)));
    }
  });
}

function outline(sheet: Sheet): void {
  const { ink, eye, scene: { room }, state, ground } = sheet;
  const { left, right, top, bottom } = sheet.eye.box();
  const wall: Pen = { colour: ink.inks.edge, width: 2, halo: false };
  const thin: Pen = { colour: ink.inks.edge, width: 1.2, halo: false };
  const [a, b, c, d] = [dot(left, bottom), dot(left, top), dot(right, top), dot(right, bottom)];
  // The audience end is cut open, so it is drawn lightly: the lower edge of the plan, the left one from the side.
  if (state.side === 'plan') ink.line([a, b, c, d], wall);
  else if (state.side === 'side') ink.line([b, c, d, a], wall);
  else ink.line([a, b, c, d, a], wall);
  ink.line(state.side === 'plan' ? [d, a] : [a, b], thin);
  if (state.side !== 'plan') ink.line([dot(left - 10, bottom), dot(right + 10, bottom)], { ...wall, width: 3 });
  for (const [from, to] of [[a, b], [b, c], [c, d], [d, a]] as const) ground.solid.push(strokeBox(from, to, 3));
  for (const area of room.platforms) {
    const low = eye.project([area.x[0], area.y[0], 0]);
    const high = eye.project([area.x[1], area.y[1], area.height]);
    const edge = [dot(low.x, low.y), dot(low.x, high.y), dot(high.x, high.y), dot(high.x, low.y)];
    ink.line(edge, thin, true);
    edge.forEach((p, i) => ground.lines.push({ box: strokeBox(p, edge[(i + 1) % 4] as ScreenPoint, 2), costs: FAINT, strong: false }));
  }
}

/** A bar, truss or stand, with how high it is. */
function hung(sheet: Sheet, place: PlaceView): void {
  const { ink, eye, state, wishes } = sheet;
  const a = eye.project(place.from);
  const b = eye.project(place.to);
  const long = Math.hypot(a.x - b.x, a.y - b.y) > 4;
  const pen: Pen = { colour: ink.inks.faint, width: place.kind === 'truss' ? 5 : 3, halo: false };
  if (long) ink.line([a, b], pen);
  else if (state.side === 'plan') ink.circle(a, 4, { ...pen, width: 2 });
  if (place.kind === 'stand' && state.side !== 'plan') {
    ink.line([b, eye.project([place.to[0], place.to[1], 0])], { colour: ink.inks.faint, width: 1.4, halo: false });
  }
  const up = `${Math.max(place.from[2], place.to[2]).toFixed(1)} m`;
  const at = dot((a.x + b.x) / 2, (a.y + b.y) / 2);
  const half = { x: Math.abs(a.x - b.x) / 2 + 4, y: 10 };
  const sides = state.side === 'plan' ? [...further([BELOW, ABOVE], 18), ...EDGES, BELOW, ABOVE] : [...further([ABOVE], 22), ...further([ABOVE], 40), RIGHT, LEFT, ...CORNERS];
  wishes.push({ id: `place ${place.name}`, texts: [`${place.name}, ${up} up`, `${up} up`], kind: 'place', at, half, sides, rank: 1 });
}

/** A thin axis for each beam that is lit, and the outline of its spot in the light's colour. */
function beams(ink: Ink, eye: FlatEye, state: DrawingState): void {
  const { left, right, top, bottom } = eye.box();
  ink.draw((c) => {
    c.beginPath();
    c.rect(left - 2, top - 2, right - left + 4, bottom - top + 4);
    c.clip();
    for (const light of state.lights) {
      const chosen = state.chosen.includes(light.unit);
      // Of a bar's many heads the middle one stands for all.
      const only = light.beams.length > 2 ? light.beams.length >> 1 : -1;
      for (const [i, beam] of light.beams.entries()) {
        if ((only >= 0 && i !== only) || !beam.spot || (beam.level < 0.004 && !chosen)) continue;
        c.strokeStyle = chosen ? ink.inks.bright : screenColour(beam.rgb, 0.45 + 0.55 * Math.sqrt(beam.level));
        traceBeam(c, eye, beam.from, beam.spot, { axis: chosen ? 0.85 : state.lit ? 0.22 : 0.6, ring: chosen ? 1 : 0.6, width: chosen ? 2 : 1.2 });
      }
    }
  });
  for (const light of state.lights) {
    if (!state.chosen.includes(light.unit)) continue;
    for (const { spot } of light.beams) if (spot) ink.plus(eye.project(spot.at), 6, { colour: ink.inks.bright, width: 1.8 });
  }
}

function traceBeam(c: CanvasRenderingContext2D, eye: FlatEye, from: V3, spot: Spot, strong: { axis: number; ring: number; width: number }): void {
  const lens = eye.project(from);
  const at = eye.project(spot.at);
  c.globalAlpha = strong.axis;
  c.lineWidth = 1;
  c.beginPath();
  c.moveTo(lens.x, lens.y);
  c.lineTo(at.x, at.y);
  c.stroke();
  c.globalAlpha = strong.ring;
  c.lineWidth = strong.width;
  c.beginPath();
  traceEllipse(c, eye.project(spot.centre), eye.span(spot.major), eye.span(spot.minor));
  c.stroke();
}

/** Where a body turns, seen from the front or the side. */
function pivotOf(unit: UnitView): V3 {
  return add(unit.at, rotate(unit.rotation, [0, 0, -0.6 * unit.size[2]]));
}

const symbolSize = (eye: FlatEye) => Math.max(12, Math.min(30, eye.scale * 0.5));
/** On the plan, where bodies lie side by side, no symbol is wider than the two nearest lights allow. */
const planSize = (eye: FlatEye, units: UnitView[]) => Math.max(9, Math.min(symbolSize(eye), nearest(eye, units) * 0.92));

/** From the front and the side: a stroke the way each lamp shines, all of one colour in one go. */
function noses(ink: Ink, eye: FlatEye, scene: Scene, state: DrawingState): void {
  const along = new Map(state.lights.map((light) => [light.unit, light.beams[0]?.along]));
  for (const bright of [false, true]) {
    const units = scene.units.filter((unit) => state.chosen.includes(unit.number) === bright);
    if (units.length === 0) continue;
    ink.path({ colour: bright ? ink.inks.bright : ink.inks.text, width: 2.4 }, (c) => {
      for (const unit of units) {
        const pivot = pivotOf(unit);
        const from = eye.project(pivot);
        const way = eye.span(along.get(unit.number) ?? normalize(sub(pivot, unit.at)));
        const long = 0.55 * Math.max(unit.size[2], unit.size[1]);
        c.moveTo(from.x, from.y);
        c.lineTo(from.x + way.x * long, from.y + way.y * long);
      }
    });
  }
}

/** The strokes of a flash under each light that flashes. */
function flashing(ink: Ink, eye: FlatEye, scene: Scene, state: DrawingState): void {
  for (const light of state.lights) {
    if (!light.beams.some((beam) => beam.strobeHz > 0 && beam.level > 0.004)) continue;
    const unit = scene.units.find((one) => one.number === light.unit);
    if (!unit) continue;
    const at = eye.project(state.side === 'plan' ? unit.at : pivotOf(unit));
    strobe(ink, dot(at.x, at.y + symbolSize(eye) * 0.5 + 14));
  }
}

function marks({ ink, eye, scene, state, wishes, ground }: Sheet): void {
  for (const mark of scene.room.marks) {
    const at = eye.project(mark.at);
    const caught = state.mark === mark.name;
    ink.cross(at, caught ? 7 : 4.5, { colour: caught ? ink.inks.bright : ink.inks.text, width: caught ? 2.2 : 1.6 });
    ground.solid.push({ ...at, w: 9, h: 9 });
    const up = `${mark.name}, ${mark.at[2].toFixed(1)} m up`;
    const texts = state.side !== 'plan' && mark.at[2] > 0.05 ? [up, mark.name] : [mark.name];
    wishes.push({ id: `mark ${mark.name}`, texts, kind: 'mark', at, half: { x: 7, y: 6 }, sides: [RIGHT, LEFT, ABOVE, BELOW, ...CORNERS], rank: caught ? 8 : 3 });
  }
}

/** A light: its symbol on the plan; from the side a dot where it turns (which way it shines is drawn live). */
function lamp(sheet: Sheet, unit: UnitView, size: number): void {
  const { ink, eye, state, wishes, ground } = sheet;
  const chosen = state.chosen.includes(unit.number);
  const colour = chosen ? ink.inks.bright : ink.inks.text;
  let at = eye.project(unit.at);
  if (state.side === 'plan') {
    ink.draw((c) => drawSymbol(c, unit.symbol, at.x, at.y, size, colour, 'rgba(14, 13, 12, 0.55)', turnOf(unit), chosen ? 2.4 : 1.5));
  } else {
    const from = eye.project(pivotOf(unit));
    ink.line([at, from], { colour, width: 1.4, halo: false });
    ink.circle(from, Math.max(3, eye.scale * 0.06), { colour, width: 1.4 });
    at = from;
  }
  if (chosen) ink.circle(at, size * 0.75 + 3, { colour: ink.inks.bright, width: 2 });
  ground.solid.push({ ...at, w: size, h: size });
  const half = { x: size / 2 + 1, y: size / 2 + (chosen ? 6 : 1) };
  const sides = [ABOVE, ...further([ABOVE], 14), BELOW, LEFT, RIGHT, ...CORNERS];
  wishes.push({ id: `unit ${unit.number}`, texts: [String(unit.number)], kind: 'unit', at, half, sides, rank: chosen ? 9 : 7, onLines: true });
}

/** Which way a symbol's front points on the plan. */
function turnOf(unit: UnitView): number {
  const side = rotate(unit.rotation, [1, 0, 0]);
  if (unit.symbol === 'bar') return Math.atan2(-side[1], side[0]);
  const ahead = rotate(unit.rotation, [0, -1, 0]);
  return unit.moves || Math.hypot(ahead[0], ahead[1]) < 0.1 ? 0 : Math.atan2(-ahead[0], -ahead[1]);
}

/** Three still strokes: this light flashes. */
export function strobe(ink: Ink, at: ScreenPoint): void {
  for (const dx of [-7, 0, 7]) {
    const foot = { ...at, x: at.x + dx };
    ink.line([{ ...foot, y: foot.y - 9 }, foot], { colour: ink.inks.bright, width: 1.8 });
  }
}

/** Heights along the left wall, a figure for each metre. */
function staff(sheet: Sheet): void {
  const { ink, eye, scene: { room }, wishes, ground } = sheet;
  const { left } = sheet.eye.box();
  const x = left - 14;
  const pen: Pen = { colour: ink.inks.faint, width: 1.2, halo: false };
  const at = (m: number) => eye.project([room.x[0], room.y[0], m]).y;
  ink.line([dot(x, at(0)), dot(x, at(room.height))], pen);
  const every = eye.scale < 24 ? 2 : 1;
  for (let m = 0; m <= room.height + 1e-6; m += every) {
    ink.line([dot(x - 4, at(m)), dot(x + 4, at(m))], pen);
    wishes.push({ id: `height ${m}`, texts: [m === 0 ? '0' : `${m} m`, `${m}`], kind: 'line', at: dot(x, at(m)), half: { x: 2, y: 4 }, sides: [LEFT], rank: 5 });
  }
  ground.solid.push(strokeBox(dot(x, at(0)), dot(x, at(room.height)), 2));
}

/** Two metres at the scale of the sheet, and from where it is seen. */
function ruler(sheet: Sheet): void {
  const { ink, eye, state, wishes, ground } = sheet;
  const { left, bottom } = sheet.eye.box();
  const row = Math.min(bottom + 18, state.open.bottom - 10);
  const begin = Math.max(left, state.open.left + 8);
  const pen: Pen = { colour: ink.inks.soft, width: 1.4 };
  const end = begin + 2 * eye.scale;
  ink.line([dot(begin, row), dot(end, row)], pen);
  for (const m of [0, 1, 2]) ink.line([dot(begin + m * eye.scale, row - 4), dot(begin + m * eye.scale, row + 4)], pen);
  ground.solid.push(strokeBox(dot(begin, row), dot(end, row), 8));
  const texts = [`2 m, ${CAPTION[state.side]}`, '2 m'];
  wishes.push({ id: 'ruler', texts: state.notice ? [`2 m, ${state.notice}`, ...texts] : texts, kind: 'line', at: dot(end, row), half: { x: 6, y: 4 }, sides: [RIGHT], rank: 10 });
}
