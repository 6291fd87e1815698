import type { LineView, Scene, UnitView } from '../wire.gen';
import type { Insets, Projector, Ray, ScreenPoint } from './eye';
import { rotate, type V3 } from './geometry';
import { ellipsePoints, type Ink } from './ink';
import type { LiveLight } from './live';
import { drawSymbol } from './symbols';
import type { Label, Open, Wish } from './words';

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

  ray(x: number, y: number): Ray {
    return { from: [(x - this.x) / this.scale, (this.y - y) / this.scale, this.top], along: [0, 0, -1] };
  }
}

/** What the plan draws besides the scene. */
export type PlanState = { lights: LiveLight[]; chosen: readonly number[]; notice: string | null; open: Open };

/** Draws the plan and returns the labels it wants. */
export function drawPlan(ink: Ink, eye: PlanEye, scene: Scene, state: PlanState): Wish[] {
  const wishes: Wish[] = [];
  ink.clear(state.open, ink.inks.page);
  outline(ink, eye, scene);
  spots(ink, eye, scene, state);
  places(ink, eye, scene, wishes);
  for (const mark of scene.room.marks) {
    const at = eye.project(mark.at);
    ink.cross(at, 5.5, { colour: ink.inks.soft, halo: false });
    wishes.push({ id: `mark ${mark.name}`, text: mark.name, kind: 'mark', at, dx: 14 + mark.name.length * 3.7, rank: 3 });
  }
  for (const line of scene.plan.lines) dataLine(ink, eye, scene, line, wishes);
  sockets(ink, eye, scene, wishes);
  const size = Math.max(18, Math.min(32, eye.scale * 0.55));
  for (const unit of scene.units) {
    const chosen = state.chosen.includes(unit.number);
    unitSymbol(ink, eye, unit, size, chosen, wishes);
    if (unit.address && (chosen || (eye.scale > 26 && scene.units.length <= 24))) {
      const at = eye.project(unit.at);
      wishes.push({ id: `address ${unit.number}`, text: unit.address, kind: 'address', at, dy: size * 0.5 + 13, rank: 5 });
    }
  }
  ruler(ink, eye, scene, wishes);
  if (state.notice) notice(ink, eye, state.notice);
  return wishes;
}

function corners(eye: PlanEye, x: readonly number[], y: readonly number[]): ScreenPoint[] {
  const [x0 = 0, x1 = 0] = x;
  const [y0 = 0, y1 = 0] = y;
  return [[x0, y0], [x0, y1], [x1, y1], [x1, y0]].map(([px = 0, py = 0]) => eye.project([px, py, 0]));
}

function outline(ink: Ink, eye: PlanEye, scene: Scene): void {
  const { room } = scene;
  const thin = { colour: ink.inks.rule, width: 1, halo: false };
  for (const area of room.platforms) ink.line(corners(eye, area.x, area.y), { ...thin, width: 1.4 }, true);
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
      ink.line([half(-1, -1), half(1, -1), half(1, 1), half(-1, 1)].map((p) => eye.project(p)), thin, true);
    } else ink.circle(at, (thing.size[0] / 2) * eye.scale, thin);
  }
  // Three walls heavy; the audience end, where the picture is cut open, light.
  const walls = corners(eye, room.x, room.y);
  ink.line(walls, { colour: ink.inks.edge, width: 3, halo: false });
  ink.line([walls[3] as ScreenPoint, walls[0] as ScreenPoint], { ...thin, width: 1.5 });
}

function spots(ink: Ink, eye: PlanEye, scene: Scene, state: PlanState): void {
  const { x, y } = scene.room;
  const low = eye.project([x[0], y[1], 0]);
  const high = eye.project([x[1], y[0], 0]);
  for (const light of state.lights) {
    const chosen = state.chosen.includes(light.unit);
    for (const beam of light.beams) {
      const { spot } = beam;
      if (!spot || beam.level < 0.004) continue;
      const colour = screenColour(beam.rgb, 0.35 + 0.65 * Math.sqrt(beam.level));
      const points = ellipsePoints(spot.centre, spot.major, spot.minor, 48).map((p) => eye.project(p));
      const from = eye.project(beam.from);
      const at = eye.project(spot.at);
      ink.draw((c) => {
        c.globalCompositeOperation = 'lighter';
        c.beginPath();
        c.rect(low.x - 3, low.y - 3, high.x - low.x + 6, high.y - low.y + 6);
        c.clip();
        c.beginPath();
        points.forEach((p, i) => (i ? c.lineTo(p.x, p.y) : c.moveTo(p.x, p.y)));
        c.closePath();
        c.fillStyle = colour;
        c.globalAlpha = 0.12 + 0.26 * Math.sqrt(beam.level);
        c.fill();
        c.globalAlpha = chosen ? 1 : 0.85;
        c.strokeStyle = colour;
        c.lineWidth = chosen ? 2.6 : 1.4;
        c.stroke();
        c.globalAlpha = chosen ? 0.8 : 0.28;
        c.lineWidth = 1;
        c.beginPath();
        c.moveTo(from.x, from.y);
        c.lineTo(at.x, at.y);
        c.stroke();
      });
      if (chosen) ink.plus(at, 6, { colour: ink.inks.bright });
    }
  }
}

function places(ink: Ink, eye: PlanEye, scene: Scene, wishes: Wish[]): void {
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
    wishes.push({ id: `place ${place.name}`, text, kind: 'place', at, dy: wide ? 50 : 52, rank: 1 });
  }
}

/** One thin stroke in the true order of the cables, ending in its terminator's crossbar. */
function dataLine(ink: Ink, eye: PlanEye, scene: Scene, line: LineView, wishes: Wish[]): void {
  const stops: V3[] = line.units.flatMap((n) => {
    const unit = scene.units.find((one) => one.number === n);
    return unit ? [unit.at] : [];
  });
  if (line.from) stops.unshift(line.from);
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
  const end = { x: last.x, y: last.y + 44, front: true };
  points.push(end);
  const pen = { colour: ink.inks.soft, width: 1.6, halo: false };
  ink.line(points, pen);
  ink.line([{ ...end, x: end.x - 8 }, { ...end, x: end.x + 8 }], { ...pen, width: 2.4 });
  if (!line.from) return;
  const at = eye.project(line.from);
  ink.draw((c) => {
    c.fillStyle = ink.inks.page;
    c.strokeStyle = ink.inks.soft;
    c.lineWidth = 1.6;
    c.fillRect(at.x - 32, at.y - 13, 64, 26);
    c.strokeRect(at.x - 32, at.y - 13, 64, 26);
  });
  wishes.push({ id: `line ${line.name}`, text: line.kind === 'linked' ? 'leader' : 'laptop', kind: 'line', at, rank: 4 });
}

/** Sockets as tabs on the wall, each with what is planned on it. */
function sockets(ink: Ink, eye: PlanEye, scene: Scene, wishes: Wish[]): void {
  const { x } = scene.room;
  for (const circuit of scene.plan.circuits) {
    if (!circuit.at) continue;
    const at = eye.project(circuit.at);
    const left = circuit.at[0] < (x[0] + x[1]) / 2;
    ink.draw((c) => {
      c.fillStyle = ink.inks.soft;
      c.fillRect(left ? at.x - 14 : at.x + 2, at.y - 13, 12, 26);
    });
    const amps = `${circuit.amps === null ? 'not known' : circuit.amps.toFixed(1)} of ${circuit.limit_amps.toFixed(1)} A`;
    const dx = (left ? -1 : 1) * (30 + Math.max(circuit.name.length, amps.length) * 3.6);
    wishes.push({ id: `socket ${circuit.name}`, text: circuit.name, kind: 'place', at, dx, dy: -10, rank: 2 });
    wishes.push({ id: `amps ${circuit.name}`, text: amps, kind: 'place', at, dx, dy: 10, rank: 2 });
  }
}

function unitSymbol(ink: Ink, eye: PlanEye, unit: UnitView, size: number, chosen: boolean, wishes: Wish[]): void {
  const at = eye.project(unit.at);
  const ahead = rotate(unit.rotation, [0, -1, 0]);
  const turn = unit.symbol === 'bar' ? barTurn(unit) : Math.hypot(ahead[0], ahead[1]) < 0.1 || unit.moves ? 0 : Math.atan2(-ahead[0], -ahead[1]);
  const face = unit.rotation[3] === 0 && Math.abs(unit.rotation[0]) > 0.9 ? 0 : turn;
  ink.draw((c) => {
    const wide = chosen ? 2.6 : 1.8;
    drawSymbol(c, unit.symbol, at.x, at.y, size, chosen ? ink.inks.bright : ink.inks.text, ink.inks.page, face, wide);
  });
  if (chosen) ink.circle(at, size * 0.82, { colour: ink.inks.bright, width: 2 });
  const rank = chosen ? 9 : 7;
  wishes.push({ id: `unit ${unit.number}`, text: String(unit.number), kind: 'unit', at, dy: -size * 0.5 - 14, rank });
}

function barTurn(unit: UnitView): number {
  const side = rotate(unit.rotation, [1, 0, 0]);
  return Math.atan2(-side[1], side[0]);
}

function ruler(ink: Ink, eye: PlanEye, scene: Scene, wishes: Wish[]): void {
  const { x, y } = scene.room;
  const start = eye.project([(x[0] + x[1]) / 2 - 1, y[0], 0]);
  const ends = [start.x, start.x + eye.scale, start.x + 2 * eye.scale];
  const row = start.y + 22;
  const pen = { colour: ink.inks.faint, width: 1.4, halo: false };
  const dot = (px: number, py: number) => ({ x: px, y: py, front: true });
  ink.line([dot(ends[0] ?? 0, row), dot(ends[2] ?? 0, row)], pen);
  for (const end of ends) ink.line([dot(end, row - 4), dot(end, row + 4)], pen);
  wishes.push({ id: 'ruler', text: '2 m', kind: 'place', at: dot((ends[2] ?? 0) + 22, row), rank: 0 });
}

/** Numbers stand on the data line; a patch of the page behind each keeps them readable. */
export function patchNumbers(ink: Ink, labels: Label[]): void {
  ink.draw((c) => {
    c.fillStyle = ink.inks.page;
    c.globalAlpha = 0.85;
    for (const label of labels) {
      if (label.kind !== 'unit' && label.kind !== 'address') continue;
      const w = 6 + label.text.length * 8;
      c.fillRect(label.x - w / 2, label.y - 8, w, 16);
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
