import type { LineView, LuxView, Scene, Spot, UnitView } from '../wire.gen';
import type { Insets, Projector, Ray, ScreenPoint } from './eye';
import { rotate, type V3 } from './geometry';
import { traceEllipse, type Ink } from './ink';
import { drawLux, luxLabels } from './lux';
import type { Beam, LiveLight } from './live';
import { drawPaths } from './paths';
import { planRings, type PlanRing, type PlanSights } from './sights';
import { drawMark, drawPower, pointedAt } from './supply';
import { drawSymbol } from './symbols';
import {
  ABOVE, BELOW, CORNERS, EDGES, FAINT, further, LEFT, meet, placeBeside, RIGHT, strokeBox, strongLine, type Beside, type Box, type Ground,
  type Side,
} from './beside';
import type { Label, Open } from './words';

/** The room from above, to scale, the far end on top. */
export class PlanEye implements Projector {
  scale = 1;
  private x = 0;
  private y = 0;
  private top = 4;
  /** Where a line of words goes: the middle and the foot of the open page, pixels. */
  foot = { x: 0, y: 0, width: 0 };

  fit(scene: Scene, width: number, height: number, insets: Insets): void {
    const { room } = scene;
    const tight = width - insets.left - insets.right < 560;
    const margin = tight ? { x: 24, top: 30, bottom: 30 } : { x: 96, top: 34, bottom: 52 };
    const w = Math.max(40, width - insets.left - insets.right - 2 * margin.x);
    const h = Math.max(40, height - insets.top - insets.bottom - margin.top - margin.bottom);
    this.scale = Math.min(w / Math.max(0.1, room.x[1] - room.x[0]), h / Math.max(0.1, room.y[1] - room.y[0]));
    const middle = insets.left + margin.x + w / 2;
    const centre = insets.top + margin.top + h / 2;
    this.x = middle - (this.scale * (room.x[0] + room.x[1])) / 2;
    this.y = centre + (this.scale * (room.y[0] + room.y[1])) / 2;
    this.top = room.height - 0.01;
    this.foot = { x: middle, y: height - insets.bottom - 12, width: width - insets.left - insets.right - 24 };
  }

  project(p: V3): ScreenPoint {
    return { x: this.x + p[0] * this.scale, y: this.y - p[1] * this.scale, front: true };
  }

  /** A way in the room on the canvas, pixels. */
  span(way: V3): { x: number; y: number } {
    return { x: way[0] * this.scale, y: -way[1] * this.scale };
  }

  ray(x: number, y: number): Ray {
    return { from: [(x - this.x) / this.scale, (this.y - y) / this.scale, this.top], along: [0, 0, -1] };
  }
}

/** What the plan draws besides the scene. */
export type PlanState = { lights: LiveLight[]; chosen: readonly number[]; notice: string | null; open: Open; paths: readonly V3[][]; sights: PlanSights | null; lux: LuxView | null };
/** As much of it as stands still while the lights play. */
export type PlanStill = Pick<PlanState, 'chosen' | 'notice' | 'open' | 'sights' | 'lux'>;

/** What the parts of the drawing share: the text they want, and what text must keep off. */
type Sheet = { ink: Ink; eye: PlanEye; scene: Scene; wishes: Beside[]; ground: Ground; symbol: number };

/** Draws the page of the plan, the light level map or the spots, and the paths: what moves with the lights. */
export function drawPlanLive(ink: Ink, eye: PlanEye, scene: Scene, state: PlanState): void {
  ink.clear(state.open, ink.inks.page);
  const lux = state.sights ? null : state.lux;
  if (lux) drawLux(ink, eye, lux, scene.room);
  else spots(ink, eye, scene, state);
  drawPaths(ink, eye, state.paths);
}

/** Draws all else of the plan and returns its words, none of them over another or over a thing. */
export function drawPlan(ink: Ink, eye: PlanEye, scene: Scene, state: PlanStill): Label[] {
  const sheet: Sheet = { ink, eye, scene, wishes: [], ground: { solid: [], lines: [] }, symbol: symbolSize(eye, scene.units) };
  ink.clear(state.open);
  const lux = state.sights ? null : state.lux;
  outline(sheet);
  if (lux) {
    const figures = luxLabels(ink, eye, lux);
    figures.draw();
    sheet.ground.solid.push(...figures.boxes);
  }
  places(sheet);
  for (const ring of (state.sights?.misses ?? []).flatMap((one) => planRings(scene, one))) planRing(sheet, ring);
  for (const mark of scene.room.marks) {
    const at = eye.project(mark.at);
    const next = mark.name === state.sights?.next;
    ink.cross(at, next ? 8 : 5.5, { colour: next ? ink.inks.bright : ink.inks.soft, width: next ? 2.6 : 1.8, halo: false });
    sheet.ground.solid.push({ ...at, w: 11, h: 11 });
    const sides = [RIGHT, LEFT, BELOW, ABOVE, ...CORNERS];
    sheet.wishes.push({ id: `mark ${mark.name}`, texts: markWords(mark.name, lux), kind: 'mark', at, half: { x: 8, y: 7 }, sides, rank: state.sights ? 8 : 3 });
  }
  for (const unit of scene.units) sheet.ground.solid.push(unitBox(sheet, unit));
  if (!state.sights) sockets(sheet);
  // Cables would hide the light.
  if (!state.sights && !lux) {
    drawPower(ink, eye, scene);
    for (const line of scene.plan.lines) dataLine(sheet, line);
  }
  for (const unit of scene.units) unitSymbol(sheet, unit, state.chosen.includes(unit.number), !state.sights);
  if (!state.sights && !lux) pointers(sheet);
  ruler(sheet);
  if (state.notice) notice(ink, eye, state.notice);
  const labels = placeBeside(sheet.wishes, state.open, sheet.ground, (text, kind) => width(ink, text, kind));
  patchLines(ink, labels, lux !== null);
  return labels;
}

/** A mark's name, with its light level where a map is shown. */
function markWords(name: string, lux: LuxView | null): string[] {
  const level = lux?.marks.find((mark) => mark.name === name)?.lux;
  return level ? [`${name}, ${level}`, level] : [name];
}

/** As the style sheet sets them. */
const FONTS = { unit: "500 15px 'Atkinson Hyperlegible Next', system-ui, sans-serif", fact: "400 14px 'Atkinson Hyperlegible Next', system-ui, sans-serif" };

/** The style sheet's figures are all as wide as the widest. */
function width(ink: Ink, text: string, kind: Label['kind']): number {
  return ink.measure(text.replace(/\d/g, '0'), FONTS[kind === 'unit' ? 'unit' : 'fact']) + 1;
}

/** Symbols are as large as the two nearest lights allow. */
function symbolSize(eye: PlanEye, units: UnitView[]): number {
  return Math.max(13, Math.min(32, eye.scale * 0.7, nearest(eye, units) * 0.92));
}

/** How far the two nearest lights stand apart on a sheet, pixels; those that stand in one place do not count. */
export function nearest(eye: { project(p: V3): ScreenPoint }, units: UnitView[]): number {
  const at = units.map((unit) => eye.project(unit.at));
  let least = Infinity;
  at.forEach((a, i) => {
    for (const b of at.slice(i + 1)) {
      const apart = Math.max(Math.abs(a.x - b.x), Math.abs(a.y - b.y));
      if (apart > 4) least = Math.min(least, apart);
    }
  });
  return least;
}

function unitBox({ eye, symbol }: Sheet, unit: UnitView): Box {
  return { ...eye.project(unit.at), w: symbol, h: symbol };
}

function corners(eye: PlanEye, x: readonly number[], y: readonly number[]): ScreenPoint[] {
  const [x0 = 0, x1 = 0] = x;
  const [y0 = 0, y1 = 0] = y;
  return [[x0, y0], [x0, y1], [x1, y1], [x1, y0]].map(([px = 0, py = 0]) => eye.project([px, py, 0]));
}

function outline({ ink, eye, scene, ground }: Sheet): void {
  const { room } = scene;
  const thin = { colour: ink.inks.rule, width: 1, halo: false };
  const faint = (points: ScreenPoint[]) =>
    points.forEach((point, i) => ground.lines.push({ box: strokeBox(point, points[(i + 1) % points.length] as ScreenPoint, 2), costs: FAINT, strong: false }));
  for (const area of room.platforms) {
    const edge = corners(eye, area.x, area.y);
    ink.line(edge, { ...thin, width: 1.4 }, true);
    faint(edge);
  }
  for (const thing of room.furniture) {
    if (thing.kind === 'person') continue;
    const at = eye.project(thing.at);
    if (thing.kind === 'table') {
      const half = (sx: number, sy: number): V3 => {
        const c = Math.cos(thing.turn);
        const s = Math.sin(thing.turn);
        const x = (sx * thing.size[0]) / 2;
        const y = (sy * thing.size[1]) / 2;
        return [thing.at[0] + x * c - y * s, thing.at[1] + x * s + y * c, 0];
      };
      const edge = [half(-1, -1), half(1, -1), half(1, 1), half(-1, 1)].map((p) => eye.project(p));
      ink.line(edge, thin, true);
      faint(edge);
    } else {
      const size = thing.size[0] * eye.scale;
      ink.circle(at, size / 2, thin);
      ground.lines.push({ box: { ...at, w: size, h: size }, costs: FAINT, strong: false });
    }
  }
  // Three walls heavy; the audience end, where the picture is cut open, light.
  const walls = corners(eye, room.x, room.y);
  ink.line(walls, { colour: ink.inks.edge, width: 3, halo: false });
  ink.line([walls[3] as ScreenPoint, walls[0] as ScreenPoint], { ...thin, width: 1.5 });
  walls.forEach((wall, i) => ground.solid.push(strokeBox(wall, walls[(i + 1) % 4] as ScreenPoint, 3)));
}

function spots(ink: Ink, eye: PlanEye, scene: Scene, state: PlanState): void {
  const { x, y } = scene.room;
  const low = eye.project([x[0], y[1], 0]);
  const high = eye.project([x[1], y[0], 0]);
  ink.draw((c) => {
    c.globalCompositeOperation = 'lighter';
    c.beginPath();
    c.rect(low.x - 3, low.y - 3, high.x - low.x + 6, high.y - low.y + 6);
    c.clip();
    for (const light of state.lights) {
      const chosen = state.chosen.includes(light.unit);
      if (state.sights && !chosen) continue;
      for (const beam of light.beams) if (beam.spot && beam.level >= 0.004) spot(c, eye, beam, beam.spot, chosen);
    }
  });
  for (const light of state.lights) {
    if (!state.chosen.includes(light.unit)) continue;
    for (const beam of light.beams) if (beam.spot && beam.level >= 0.004) ink.plus(eye.project(beam.spot.at), 6, { colour: ink.inks.bright });
  }
}

function spot(c: CanvasRenderingContext2D, eye: PlanEye, beam: Beam, shown: Spot, chosen: boolean): void {
  const from = eye.project(beam.from);
  const at = eye.project(shown.at);
  c.strokeStyle = c.fillStyle = screenColour(beam.rgb, 0.35 + 0.65 * Math.sqrt(beam.level));
  c.beginPath();
  traceEllipse(c, eye.project(shown.centre), eye.span(shown.major), eye.span(shown.minor));
  c.globalAlpha = 0.12 + 0.26 * Math.sqrt(beam.level);
  c.fill();
  c.globalAlpha = chosen ? 1 : 0.85;
  c.lineWidth = chosen ? 2.6 : 1.4;
  c.stroke();
  c.globalAlpha = chosen ? 0.8 : 0.28;
  c.lineWidth = 1;
  c.beginPath();
  c.moveTo(from.x, from.y);
  c.lineTo(at.x, at.y);
  c.stroke();
}

/** How well a mark is known: a full ring for the expected miss, a dashed one for the spot there. */
function planRing({ ink, eye }: Sheet, { at, expected, spot }: PlanRing): void {
  if (expected === null) return;
  const middle = eye.project(at);
  if (spot !== null) ink.circle(middle, spot * eye.scale, { colour: ink.inks.soft, width: 1.2, dash: [2, 4], halo: false });
  ink.circle(middle, Math.max(1.5, expected * eye.scale), { colour: ink.inks.bright, width: 1.6, halo: false });
}

function places({ ink, eye, scene, wishes, ground, symbol }: Sheet): void {
  for (const place of scene.room.places) {
    if (place.kind === 'floor') continue;
    const a = eye.project(place.from);
    const b = eye.project(place.to);
    const wide = Math.abs(a.x - b.x) + Math.abs(a.y - b.y) > 4;
    if (wide) ink.line([a, b], { colour: ink.inks.rule, width: place.kind === 'truss' ? 11 : 7, halo: false });
    else ink.circle(a, 5, { colour: ink.inks.rule, width: 3, halo: false });
    if (!wide && eye.scale < 36) continue;
    const high = Math.max(place.from[2], place.to[2]).toFixed(1);
    const text = [place.name, `${high} m up`, ...(wide ? [place.load] : [])].join(', ');
    const at = { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, front: true };
    if (wide) ground.solid.push(strokeBox(a, b, 7));
    const near = [BELOW, ABOVE, ...EDGES];
    const sides = [...further(near, 21), ...further(near, 41), ...near];
    const half = wide ? { x: Math.abs(a.x - b.x) / 2, y: symbol / 2 } : { x: symbol / 2, y: symbol / 2 };
    wishes.push({ id: `place ${place.name}`, texts: [text, `${high} m up`], kind: 'place', at, half, sides, rank: 1 });
  }
}

/** Marks on what findings speak of. */
function pointers({ ink, eye, scene, symbol, ground }: Sheet): void {
  const { units, places } = pointedAt(scene.plan.findings);
  const mark = (at: { x: number; y: number }, severity: string) => {
    drawMark(ink, at, severity);
    ground.solid.push({ ...at, w: 14, h: 14 });
  };
  for (const unit of scene.units) {
    const severity = units.get(unit.number);
    const at = eye.project(unit.at);
    if (severity) mark({ x: at.x + symbol * 0.5, y: at.y - symbol * 0.5 }, severity);
  }
  for (const circuit of scene.plan.circuits) {
    const severity = places.get(`circuit ${circuit.name}`);
    if (!severity || !circuit.at) continue;
    const at = eye.project(circuit.at);
    mark({ x: at.x, y: at.y - 24 }, severity);
  }
  for (const place of scene.room.places) {
    const severity = places.get(place.name);
    const at = eye.project(place.to);
    if (severity) mark({ x: at.x + 12, y: at.y }, severity);
  }
}

/** One thin stroke in the true order of the cables, ending in its terminator's crossbar. */
function dataLine(sheet: Sheet, line: LineView): void {
  const { ink, eye, scene, ground } = sheet;
  const stops: V3[] = line.units.flatMap((n) => {
    const unit = scene.units.find((one) => one.number === n);
    return unit ? [unit.at] : [];
  });
  const begins = line.from && clearOf(sheet, eye.project(line.from));
  if (begins) {
    const { from } = eye.ray(begins.x, begins.y);
    stops.unshift([from[0], from[1], 0]);
  }
  if (stops.length === 0) return;
  const points: ScreenPoint[] = [];
  stops.forEach((stop, i) => {
    const before = stops[i - 1];
    // Round the corner on the side of the far end, as a cable is laid along a wall and a bar.
    if (before && Math.abs(before[0] - stop[0]) > 0.05 && Math.abs(before[1] - stop[1]) > 0.05) {
      points.push(eye.project([before[1] < stop[1] ? before[0] : stop[0], Math.max(before[1], stop[1]), 0]));
    }
    points.push(eye.project(stop));
  });
  const last = points[points.length - 1] as ScreenPoint;
  const end = { x: last.x, y: last.y + sheet.symbol * 0.5 + 12, front: true };
  points.push(end);
  const pen = { colour: ink.inks.soft, width: 1.6, halo: false };
  ink.line(points, pen);
  ink.line([{ ...end, x: end.x - 7 }, { ...end, x: end.x + 7 }], { ...pen, width: 2.4 });
  points.forEach((point, i) => i > 0 && ground.lines.push(strongLine(points[i - 1] as ScreenPoint, point)));
  ground.solid.push(strokeBox({ ...end, x: end.x - 7 }, { ...end, x: end.x + 7 }, 3));
  if (begins) machine(sheet, begins, line);
}

const MACHINE = { w: 24, h: 15 };

/** A small box for what the line begins at, and its name beside it. */
function machine({ ink, wishes, ground }: Sheet, at: ScreenPoint, line: LineView): void {
  ink.draw((c) => {
    c.fillStyle = ink.inks.page;
    c.strokeStyle = ink.inks.soft;
    c.lineWidth = 1.6;
    c.fillRect(at.x - MACHINE.w / 2, at.y - MACHINE.h / 2, MACHINE.w, MACHINE.h);
    c.strokeRect(at.x - MACHINE.w / 2, at.y - MACHINE.h / 2, MACHINE.w, MACHINE.h);
    c.fillStyle = ink.inks.soft;
    c.fillRect(at.x - MACHINE.w / 2 - 2, at.y + MACHINE.h / 2 - 1, MACHINE.w + 4, 2.5);
  });
  ground.solid.push({ ...at, w: MACHINE.w + 4, h: MACHINE.h + 3 });
  const text = line.kind === 'linked' ? 'leader' : 'laptop';
  const half = { x: MACHINE.w / 2 + 2, y: MACHINE.h / 2 + 2 };
  const sides = [ABOVE, LEFT, RIGHT, BELOW, ...EDGES, ...CORNERS];
  wishes.push({ id: `line ${line.name}`, texts: [text], kind: 'line', at, half, sides, rank: 6, onLines: true });
}

/** The nearest place to `at` where the machine's box stands over nothing. */
function clearOf({ ground }: Sheet, at: ScreenPoint): ScreenPoint {
  for (let away = 0; away <= 96; away += 6) {
    // Towards the wall's near end first, then round.
    for (const turn of away === 0 ? [0] : [0.5, 0, 1, 1.5, 0.25, 0.75, 1.25, 1.75]) {
      const x = at.x + away * Math.cos(turn * Math.PI);
      const y = at.y + away * Math.sin(turn * Math.PI);
      const box = { x, y, w: MACHINE.w + 4, h: MACHINE.h + 3 };
      if (!ground.solid.some((other) => meet(box, other, 5))) return { x, y, front: true };
    }
  }
  return at;
}

/** Sockets as tabs on the wall, each with what is planned on it. */
function sockets({ ink, eye, scene, wishes, ground }: Sheet): void {
  const { x } = scene.room;
  for (const circuit of scene.plan.circuits) {
    if (!circuit.at) continue;
    const left = circuit.at[0] < (x[0] + x[1]) / 2;
    const side = left ? x[0] : x[1];
    // A socket sits in its wall, however deep its box was measured.
    const wall = eye.project(Math.abs(circuit.at[0] - side) < 0.4 ? [side, circuit.at[1], 0] : circuit.at);
    const at = { x: left ? wall.x - 8 : wall.x + 8, y: wall.y, front: true };
    ink.draw((c) => {
      c.fillStyle = ink.inks.soft;
      c.fillRect(at.x - 6, at.y - 13, 12, 26);
    });
    ground.solid.push({ ...at, w: 12, h: 26 });
    const limit = circuit.limit_amps.toFixed(1);
    const amps = circuit.amps === null ? 'not known' : circuit.amps.toFixed(1);
    const short = circuit.amps === null ? [] : [`${amps} A`];
    // Outside the wall: the name at the upper end of the tab, the amps at its lower end, or over and under it.
    const out = left ? -1 : 1;
    const sides = (y: -1 | 1): Side[] => [{ x: out, y: 0, far: 5 }, { x: 0, y, slide: out }, { x: 0, y, slide: out, far: 20 }];
    const upper = { ...at, y: at.y - 10 };
    const lower = { ...at, y: at.y + 10 };
    const flat = { x: 3, y: 5 };
    wishes.push({ id: `socket ${circuit.name}`, texts: [circuit.name], kind: 'place', at: upper, half: flat, sides: sides(-1), rank: 5 });
    const texts = [`${amps} of ${limit} A`, ...short];
    wishes.push({ id: `amps ${circuit.name}`, texts, kind: 'place', at: lower, half: flat, sides: sides(1), rank: 4 });
  }
}

function unitSymbol(sheet: Sheet, unit: UnitView, chosen: boolean, addressed: boolean): void {
  const { ink, eye, scene, symbol: size, wishes } = sheet;
  const at = eye.project(unit.at);
  const ahead = rotate(unit.rotation, [0, -1, 0]);
  const turn = unit.symbol === 'bar' ? barTurn(unit) : Math.hypot(ahead[0], ahead[1]) < 0.1 || unit.moves ? 0 : Math.atan2(-ahead[0], -ahead[1]);
  const face = unit.rotation[3] === 0 && Math.abs(unit.rotation[0]) > 0.9 ? 0 : turn;
  ink.draw((c) => {
    const wide = chosen ? 2.6 : size < 20 ? 1.4 : 1.8;
    drawSymbol(c, unit.symbol, at.x, at.y, size, chosen ? ink.inks.bright : ink.inks.text, ink.inks.page, face, wide);
  });
  if (chosen) ink.circle(at, size * 0.82, { colour: ink.inks.bright, width: 2 });
  const half = { x: size / 2, y: size / 2 + (chosen ? 6 : 0) };
  const sides = [ABOVE, ...further([ABOVE], 14), BELOW, LEFT, RIGHT, ...CORNERS];
  const number = { id: `unit ${unit.number}`, texts: [String(unit.number)], kind: 'unit' as const, at, half, sides };
  wishes.push({ ...number, rank: chosen ? 9 : 7, onLines: true });
  if (!addressed || !unit.address || (!chosen && (eye.scale <= 26 || scene.units.length > 24))) return;
  const under = [BELOW, ...further([BELOW], 20), RIGHT, LEFT, ...CORNERS];
  wishes.push({ id: `address ${unit.number}`, texts: [unit.address], kind: 'address', at, half, sides: under, rank: 2, onLines: true });
}

function barTurn(unit: UnitView): number {
  const side = rotate(unit.rotation, [1, 0, 0]);
  return Math.atan2(-side[1], side[0]);
}

function ruler({ ink, eye, scene, wishes, ground }: Sheet): void {
  const { x, y } = scene.room;
  const start = eye.project([(x[0] + x[1]) / 2 - 1, y[0], 0]);
  const ends = [start.x, start.x + eye.scale, start.x + 2 * eye.scale];
  const row = start.y + 18;
  const pen = { colour: ink.inks.faint, width: 1.4, halo: false };
  const dot = (px: number, py: number) => ({ x: px, y: py, front: true });
  ink.line([dot(ends[0] ?? 0, row), dot(ends[2] ?? 0, row)], pen);
  for (const end of ends) ink.line([dot(end, row - 4), dot(end, row + 4)], pen);
  ground.solid.push(strokeBox(dot(ends[0] ?? 0, row), dot(ends[2] ?? 0, row), 8));
  wishes.push({ id: 'ruler', texts: ['2 m'], kind: 'line', at: dot(ends[2] ?? 0, row), half: { x: 6, y: 4 }, sides: [RIGHT], rank: 0 });
}

/** Some words may stand on a line, and over a light level map marks stand on colours; a patch of the page behind each keeps them readable. */
function patchLines(ink: Ink, labels: Label[], marks: boolean): void {
  ink.draw((c) => {
    c.fillStyle = ink.inks.page;
    c.globalAlpha = 0.85;
    for (const label of labels) {
      if (!(marks && label.kind === 'mark') && label.kind !== 'unit' && label.kind !== 'address' && label.kind !== 'line') continue;
      const w = width(ink, label.text, label.kind) + 2;
      c.fillRect(label.x - w / 2, label.y - 7.5, w, 15);
    }
  });
}

/** One line of words for when there is only the plan. */
function notice(ink: Ink, eye: PlanEye, text: string): void {
  ink.draw((c) => {
    c.font = "italic 15px 'Literata', serif";
    c.textAlign = 'center';
    c.fillStyle = ink.inks.soft;
    c.fillText(text, eye.foot.x, eye.foot.y, eye.foot.width);
  });
}

/** Linear light to a screen colour at a given brightness. */
export function screenColour(rgb: readonly number[], level: number): string {
  const to = (v: number) => {
    const c = Math.min(1, Math.max(0, v * level));
    return Math.round(255 * (c <= 0.0031308 ? 12.92 * c : 1.055 * c ** (1 / 2.4) - 0.055));
  };
  return `rgb(${to(rgb[0] ?? 0)} ${to(rgb[1] ?? 0)} ${to(rgb[2] ?? 0)})`;
}
