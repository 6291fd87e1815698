import type { MarkView, Scene, UnitView } from '../wire.gen';
import type { Focus, Projector, ScreenPoint } from './eye';
import { add, clamp, dot, floorAt, length, mix, scale, sideways, sub, type V3 } from './geometry';
import type { Ink } from './ink';
import type { Beam, LiveLight } from './live';
import type { Wish } from './words';

/** Expected miss and radius of the spot at each mark, metres, in the order of the room's marks; `null` is not known. */
export type Misses = { expected: readonly (number | null)[]; spots: readonly (number | null)[] };

/** What the picture shows while a light is being sighted in. */
export type Sighting = {
  unit: number;
  /** The mark that it is to be brought onto; with none, the spot alone is looked at. */
  mark: string | null;
  misses: Misses;
  /** The spot in the picture is all there is to see, so an arrow may lead from it to the mark. */
  arrow: boolean;
};

/** The picture comes no closer than a ball of this radius, metres. */
const CLOSEST_M = 1.1;
/** Without a mark so much is in sight round the spot, to see which way it goes. */
const ROUND_SPOT_M = 2.4;
/** A mark so near to a surface lies on it. */
const ON_SURFACE_M = 0.12;
/** Where a beam that meets nothing is looked at. */
const NOWHERE_M = 4;
/** A side wall is looked at from so far round, radians, or its two directions would be one. */
const ROUND_WALL = 0.7;
/** Each step back shows so much more. */
const STEP = 1.35;
/** What is looked at keeps off the edge of the picture by this part of it. */
const MARGIN = 0.07;

/** The beam of the light that is being sighted in. */
export function beamOf(lights: readonly LiveLight[], unit: number): Beam | undefined {
  return lights.find((light) => light.unit === unit)?.beams[0];
}

/** Where a beam passes a point: the place on its axis nearest to it. */
export function passing(beam: Pick<Beam, 'from' | 'along' | 'spot'>, point: V3): V3 {
  const far = beam.spot?.throw_m ?? Infinity;
  return add(beam.from, scale(beam.along, clamp(dot(sub(point, beam.from), beam.along), 0, far)));
}

/** What is brought onto the mark: the spot where the mark lies on the same surface, else the beam where it passes. */
function brought(beam: Pick<Beam, 'from' | 'along' | 'spot'>, mark: V3): V3 {
  const { spot } = beam;
  return spot && Math.abs(dot(sub(mark, spot.at), spot.normal)) < ON_SURFACE_M ? spot.at : passing(beam, mark);
}

/** The place that a nudge moves, and the plane in which it does: the spot on its surface, or the beam across itself. */
export function movedOn(beam: Pick<Beam, 'from' | 'along' | 'spot'>, mark: V3 | undefined): { at: V3; normal: V3 } {
  const { spot, from, along } = beam;
  const at = mark ? brought(beam, mark) : (spot?.at ?? add(from, scale(along, NOWHERE_M)));
  return { at, normal: spot && at === spot.at ? spot.normal : scale(along, -1) };
}

/** The ball that is to be in sight, and the points in it that must be. */
export type Wanted = Focus & { points: V3[] };

/** The ball that holds the spot and the mark. Its size goes in steps, so that the picture stands still for small moves. */
export function ballRound(beam: Pick<Beam, 'from' | 'along' | 'spot'> | undefined, mark: V3 | undefined): Wanted | null {
  const spot = beam?.spot;
  if (!spot) return mark ? { middle: mark, radius: ROUND_SPOT_M, points: [mark] } : null;
  const near = mark ? brought(beam, mark) : spot.at;
  const turn = near === spot.at ? -ROUND_WALL * spot.normal[0] : 0;
  if (!mark) return { middle: spot.at, radius: ROUND_SPOT_M, turn, points: [spot.at] };
  // A spot far behind its mark is not needed in full: where the beam passes the mark is what counts.
  const end = length(sub(spot.at, near)) > 4 ? near : spot.at;
  const radius = Math.max(CLOSEST_M, 0.68 * length(sub(end, mark)) + 0.35 + Math.min(1.6, length(spot.major)) / 2);
  const steps = Math.ceil(Math.log(radius / CLOSEST_M) / Math.log(STEP));
  return { middle: mix(end, mark, 0.5), radius: CLOSEST_M * STEP ** steps, turn, points: [end, mark] };
}

/** Whether the picture has to move from what it shows to what is wanted: something left it, or it shows far too much. */
export function outgrown(view: Projector, frame: { left: number; top: number; right: number; bottom: number }, shown: Focus, wanted: Wanted): boolean {
  if ((wanted.turn ?? 0) !== (shown.turn ?? 0)) return true;
  if (length(sub(wanted.middle, shown.middle)) < 0.05 && Math.abs(wanted.radius - shown.radius) < 0.01) return false;
  if (wanted.radius > shown.radius * 1.01 || wanted.radius * STEP ** 1.5 < shown.radius) return true;
  const x = (frame.right - frame.left) * MARGIN;
  const y = (frame.bottom - frame.top) * MARGIN;
  return wanted.points.some((point) => {
    const at = view.project(point);
    return !at.front || at.x < frame.left + x || at.x > frame.right - x || at.y < frame.top + y || at.y > frame.bottom - y;
  });
}

/** What is drawn on the room while a light is sighted in: the marks with what is known there, the spot, and the way. */
export function drawSighting(ink: Ink, view: Projector, scene: Scene, lights: readonly LiveLight[], sighting: Sighting): Wish[] {
  const wishes: Wish[] = [];
  const unit = scene.units.find((one) => one.number === sighting.unit);
  const beam = beamOf(lights, sighting.unit);
  if (!unit) return wishes;
  scene.room.marks.forEach((mark, i) => {
    const wanted = mark.name === sighting.mark;
    const at = view.project(mark.at);
    rings(ink, view, mark.at, sighting.misses.expected[i], wanted ? sighting.misses.spots[i] : null);
    if (wanted) stem(ink, view, scene, mark);
    ink.cross(at, wanted ? 12 : 5, { colour: wanted ? ink.inks.bright : ink.inks.soft, width: wanted ? 3 : 1.4 });
    wishes.push({ id: `mark ${wanted ? 'wanted ' : ''}${mark.name}`, text: mark.name, kind: wanted ? 'leg' : 'mark', at, dy: wanted ? -28 : -18, rank: wanted ? 10 : 2 });
  });
  body(ink, view, unit, beam, wishes);
  const wanted = scene.room.marks.find((mark) => mark.name === sighting.mark);
  if (beam?.spot) spot(ink, view, beam, wanted, sighting, wishes);
  return wishes;
}

/** How well the mark is known: a full ring for the expected miss, a dashed one for the spot, both turned to the eye. */
function rings(ink: Ink, view: Projector, at: V3, expected: number | null | undefined, spot: number | null | undefined): void {
  const middle = view.project(at);
  if (!middle.front) return;
  const beside = view.project(add(at, sideways(view.ray(middle.x, middle.y).along)));
  const metre = Math.hypot(beside.x - middle.x, beside.y - middle.y);
  if (expected) ink.circle(middle, expected * metre, { colour: ink.inks.bright, width: 1.4 });
  if (spot) ink.circle(middle, spot * metre, { colour: ink.inks.soft, width: 1.2, dash: [2, 5], halo: false });
}

/** A thin line from a mark in the air to the floor under it, so that one sees where it stands. */
function stem(ink: Ink, view: Projector, scene: Scene, mark: MarkView): void {
  const floor = floorAt(scene.room, mark.at[0], mark.at[1]);
  if (mark.at[2] - floor < 0.15) return;
  const foot: V3 = [mark.at[0], mark.at[1], floor];
  ink.line([view.project(mark.at), view.project(foot)], { colour: ink.inks.soft, width: 1.2, dash: [3, 4] });
  ink.ellipse(view, foot, [0.09, 0, 0], [0, 0.09, 0], { colour: ink.inks.soft, width: 1.2 });
}

function body(ink: Ink, view: Projector, unit: UnitView, beam: Beam | undefined, wishes: Wish[]): void {
  const at = view.project(beam?.from ?? unit.at);
  ink.circle(at, 15, { colour: ink.inks.bright, width: 2 });
  wishes.push({ id: `unit ${unit.number}`, text: String(unit.number), kind: 'unit', at, dy: -28, rank: 9 });
}

function spot(ink: Ink, view: Projector, beam: Beam, mark: MarkView | undefined, sighting: Sighting, wishes: Wish[]): void {
  const { spot: shown } = beam;
  if (!shown) return;
  ink.ellipse(view, shown.centre, shown.major, shown.minor, { colour: ink.inks.bright, width: 1.6, dash: [6, 5], halo: false });
  const middle = view.project(shown.at);
  const near = mark ? brought(beam, mark.at) : shown.at;
  const passes = view.project(near);
  // In front of a mark in the air the beam is what one brings onto it, not the spot on the wall behind.
  if (length(sub(near, shown.at)) > 0.2) {
    ink.line([middle, passes], { colour: ink.inks.bright, width: 1.4, dash: [3, 5] });
    ink.circle(middle, 4, { colour: ink.inks.bright, width: 1.6 });
  }
  ink.plus(passes, 12, { colour: ink.inks.bright, width: 2.4 });
  wishes.push({ id: `spot ${sighting.unit}`, text: `light ${sighting.unit}`, kind: 'leg', at: passes, dy: 28, rank: 8 });
  if (mark && sighting.arrow) arrow(ink, passes, view.project(mark.at));
}

/** From where the beam is to where it should be; none when they lie close. */
function arrow(ink: Ink, from: ScreenPoint, to: ScreenPoint): void {
  const far = Math.hypot(to.x - from.x, to.y - from.y);
  if (!from.front || !to.front || far < 52) return;
  const x = (to.x - from.x) / far;
  const y = (to.y - from.y) / far;
  const dot = (ahead: number, aside: number): ScreenPoint => ({ x: from.x + x * ahead - y * aside, y: from.y + y * ahead + x * aside, front: true });
  const pen = { colour: ink.inks.bright, width: 2 };
  const tip = far - 18;
  ink.line([dot(18, 0), dot(tip, 0)], pen);
  ink.line([dot(tip - 9, 6), dot(tip, 0), dot(tip - 9, -6)], pen);
}

/** What the plan shows while marks are chosen: no cables and sockets, and the mark that comes next made strong. */
export type PlanSights = { next: string | null; misses: readonly Misses[] };

/** A ring on the plan. */
export type PlanRing = { at: V3; expected: number | null; spot: number | null };

/** The same rings on the plan, for every mark where anything is known. */
export function planRings(scene: Scene, misses: Misses): PlanRing[] {
  return scene.room.marks.map((mark, i) => ({ at: mark.at, expected: misses.expected[i] ?? null, spot: misses.spots[i] ?? null }));
}
