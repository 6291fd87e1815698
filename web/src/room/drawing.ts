import type { PlaceView, Scene, UnitView } from '../wire.gen';
import {
  ABOVE, BELOW, CORNERS, EDGES, FAINT, further, LEFT, placeBeside, RIGHT, strokeBox, type Beside, type Ground,
} from './beside';
import type { ScreenPoint } from './eye';
import type { FlatEye, FlatSide } from './flat';
import { add, normalize, rotate, scale, type V3 } from './geometry';
import { ellipsePoints, type Ink, type Pen } from './ink';
import type { LiveLight } from './live';
import { drawPaths } from './paths';
import { screenColour } from './plan';
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

type Sheet = { ink: Ink; eye: FlatEye; scene: Scene; state: DrawingState; wishes: Beside[]; ground: Ground };

/** As the style sheet sets them. */
const FONTS = { unit: "500 15px 'Atkinson Hyperlegible Next', system-ui, sans-serif", fact: "400 14px 'Atkinson Hyperlegible Next', system-ui, sans-serif" };

const CAPTION: Record<FlatSide, string> = { plan: 'from above', front: 'from the audience', side: 'from the right, audience at the left' };

/** Draws grid, outlines, heights, marks and lights of a drawing to scale, and answers its words, none over another. */
export function drawDrawing(ink: Ink, eye: FlatEye, scene: Scene, state: DrawingState): Label[] {
  const sheet: Sheet = { ink, eye, scene, state, wishes: [], ground: { solid: [], lines: [] } };
  ink.clear(state.open, state.lit ? undefined : ink.inks.page);
  grid(sheet);
  outline(sheet);
  for (const place of scene.room.places) if (place.kind !== 'floor') hung(sheet, place);
  beams(sheet);
  drawPaths(ink, eye, state.paths);
  marks(sheet);
  for (const unit of scene.units) lamp(sheet, unit);
  if (state.aiming) ink.plus(eye.project(state.aiming.at), 10, { colour: ink.inks.bright, width: 2 });
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
function beams({ ink, eye, state }: Sheet): void {
  const { left, right, top, bottom } = eye.box();
  for (const light of state.lights) {
    const chosen = state.chosen.includes(light.unit);
    // Of a bar's many heads the middle one stands for all.
    const shown = light.beams.length > 2 ? light.beams.slice(light.beams.length >> 1, (light.beams.length >> 1) + 1) : light.beams;
    for (const beam of shown) {
      const { spot } = beam;
      if (!spot || (beam.level < 0.004 && !chosen)) continue;
      const colour = chosen ? ink.inks.bright : screenColour(beam.rgb, 0.45 + 0.55 * Math.sqrt(beam.level));
      const ring = ellipsePoints(spot.centre, spot.major, spot.minor, 40).map((p) => eye.project(p));
      const from = eye.project(beam.from);
      const at = eye.project(spot.at);
      ink.draw((c) => {
        c.beginPath();
        c.rect(left - 2, top - 2, right - left + 4, bottom - top + 4);
        c.clip();
        c.strokeStyle = colour;
        const stroke = (width: number, alpha: number, points: ScreenPoint[], closed: boolean) => {
          c.globalAlpha = alpha;
          c.lineWidth = width;
          c.beginPath();
          points.forEach((p, i) => (i ? c.lineTo(p.x, p.y) : c.moveTo(p.x, p.y)));
          if (closed) c.closePath();
          c.stroke();
        };
        stroke(1, chosen ? 0.85 : state.lit ? 0.22 : 0.6, [from, at], false);
        stroke(chosen ? 2 : 1.2, chosen ? 1 : 0.6, ring, true);
      });
      if (chosen) ink.plus(at, 6, { colour: ink.inks.bright, width: 1.8 });
    }
  }
}

function marks({ ink, eye, scene, state, wishes, ground }: Sheet): void {
  for (const mark of scene.room.marks) {
    const at = eye.project(mark.at);
    const caught = state.aiming?.mark === mark.name;
    ink.cross(at, caught ? 7 : 4.5, { colour: caught ? ink.inks.bright : ink.inks.text, width: caught ? 2.2 : 1.6 });
    ground.solid.push({ ...at, w: 9, h: 9 });
    const up = `${mark.name}, ${mark.at[2].toFixed(1)} m up`;
    const texts = state.side !== 'plan' && mark.at[2] > 0.05 ? [up, mark.name] : [mark.name];
    wishes.push({ id: `mark ${mark.name}`, texts, kind: 'mark', at, half: { x: 7, y: 6 }, sides: [RIGHT, LEFT, ABOVE, BELOW, ...CORNERS], rank: caught ? 8 : 3 });
  }
}

/** A light: its symbol on the plan; from the side a dot where it turns and a stroke the way it shines. */
function lamp(sheet: Sheet, unit: UnitView): void {
  const { ink, eye, state, wishes, ground } = sheet;
  const light = state.lights.find((one) => one.unit === unit.number);
  const chosen = state.chosen.includes(unit.number);
  const colour = chosen ? ink.inks.bright : ink.inks.text;
  const size = Math.max(12, Math.min(30, eye.scale * 0.5));
  let at = eye.project(unit.at);
  if (state.side === 'plan') {
    ink.draw((c) => drawSymbol(c, unit.symbol, at.x, at.y, size, colour, 'rgba(14, 13, 12, 0.55)', turnOf(unit), chosen ? 2.4 : 1.5));
  } else {
    const down = rotate(unit.rotation, [0, 0, -0.6 * unit.size[2]]);
    const pivot = add(unit.at, down);
    const along = light?.beams[0]?.along ?? normalize(down);
    const tip = eye.project(add(pivot, scale(along, 0.55 * Math.max(unit.size[2], unit.size[1]))));
    const from = eye.project(pivot);
    ink.line([at, from], { colour, width: 1.4, halo: false });
    ink.circle(from, Math.max(3, eye.scale * 0.06), { colour, width: 1.4 });
    ink.line([from, tip], { colour, width: 2.4 });
    at = from;
  }
  if (chosen) ink.circle(at, size * 0.75 + 3, { colour: ink.inks.bright, width: 2 });
  if (light?.beams.some((beam) => beam.strobeHz > 0 && beam.level > 0.004)) strobe(ink, dot(at.x, at.y + size * 0.5 + 14));
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
