// What a hand does, as intents: shared by keys and panels, and paced so that no drag floods the machine.
import { createSignal } from 'solid-js';
import type { HeadMoment } from './wire.gen';
import { lightOf, now, picked, scene, send, setOpenWord, unitOf } from './state';

/** A point in the room, metres. */
export type Point = [number, number, number];

/** At most thirty intents a second leave while something is dragged. */
const PACE_MS = 34;
/** After this long without a touch the machine's own value is shown again. */
const SETTLE_MS = 500;
/** From here on a level is said as 100 %. */
const WHOLE = 0.995;
/** A mark counts as aimed at within this distance. */
const ON_MARK_M = 0.15;

export const go = () => send({ type: 'go' });
export const back = () => send({ type: 'back' });
export const takeCue = (index: number) => send({ type: 'cue', index });
export const putOn = (look: string) => send({ type: 'look', name: look });
export const runChase = (name: string, on: boolean) => send({ type: 'chase', name, on });
export const tap = () => send({ type: 'tap' });
export const setTempo = (bpm: number) => send({ type: 'tempo', bpm });
export const blackout = () => send({ type: 'blackout', on: !now.blackout });
export const stillness = () => send({ type: 'stillness', on: !now.stillness });
export const stopStrobe = () => send({ type: 'stop_strobe', on: !now.strobe_stopped });

/** Has a running chase go so many times as fast as its steps say; 0 lets it stand where it is. */
export const paceChase = (name: string, speed: number) => send({ type: 'chase_speed', name, speed });

/** `true` while a chase runs. */
export const running = (name: string) => now.chases.some((chase) => chase.name === name);

// Masters: shown as the finger has them, and as the machine has them once the finger rests.

/** The hand on a level: what it has, while it has it, and the moving of it. */
function levelHand(say: (level: number) => unknown) {
  const own = settling();
  const send = paced(say);
  return { get: own.get, set: (level: number) => (own.set(level), send(level)) };
}

const masterHand = levelHand((level) => send({ type: 'master', level }));
/** The master to show. */
export const master = () => masterHand.get() ?? now.master;
/** Moves the master. */
export const setMaster = (level: number): void => masterHand.set(level);

// Group masters: the same over each group, by its name.

const groupHands = new Map<string, ReturnType<typeof levelHand>>();
function groupHand(group: string) {
  let hand = groupHands.get(group);
  if (!hand) groupHands.set(group, (hand = levelHand((level) => send({ type: 'group_master', group, level }))));
  return hand;
}
/** The level to show over a group. */
export function groupMaster(group: string): number {
  const place = scene()?.groups.findIndex((one) => one.name === group) ?? -1;
  return groupHand(group).get() ?? now.groups[place] ?? 1;
}
/** Moves a group's master; what is said as 100 % is all of it. */
export const setGroupMaster = (group: string, level: number): void => groupHand(group).set(level >= WHOLE ? 1 : level);
/** Groups that are below 100 %. */
export const lowered = () => scene()?.groups.map(({ name }) => ({ name, level: groupMaster(name) })).filter(({ level }) => level < WHOLE) ?? [];
/** Brings every group back to 100 %. */
export const wholeGroups = () => lowered().forEach(({ name }) => setGroupMaster(name, 1));

// Lights held by hand.

const askedLevels = new Map<number, { level: number; at: number }>();
const askedPoints = new Map<number, { at: Point; when: number }>();
const levelWays = new Map<number, (level: number) => void>();
const pointWays = new Map<number, (at: Point) => void>();

/** The level that this page's hand asked of a light, while the hand has it. */
export function askedLevel(unit: number): number | undefined {
  return valid(unit, askedLevels.get(unit)?.at) ? askedLevels.get(unit)?.level : undefined;
}

/** Asks a level of lights. */
export function askLevel(units: readonly number[], level: number): void {
  for (const unit of units) {
    askedLevels.set(unit, { level, at: performance.now() });
    let way = levelWays.get(unit);
    if (!way) levelWays.set(unit, (way = paced((value: number) => askedLevels.has(unit) && send({ type: 'level', unit, level: value }))));
    way(level);
  }
}

/** Asks a colour of lights, as a look writes it. */
export function askColour(units: readonly number[], colour: string): void {
  for (const unit of units) send({ type: 'colour', unit, colour });
}

/** Asks what a light makes of a colour; the answer comes as `colourAnswer`. */
export const tellColour = (unit: number, colour: string) => send({ type: 'ask_colour', unit, colour });

/** Holds a light's spot on a point. */
export function aim(unit: number, at: Point): void {
  askedPoints.set(unit, { at, when: performance.now() });
  let way = pointWays.get(unit);
  if (!way) pointWays.set(unit, (way = paced((point: Point) => askedPoints.has(unit) && send({ type: 'aim', unit, at: point }))));
  way(at);
}

/** Those of the picked lights that can follow a spot. */
export const pickedMovers = () => picked().filter((number) => unitOf(number)?.moves);

/** Moves the spots of the picked lights, metres to the right and away from the audience. */
export function nudge(x: number, y: number): void {
  for (const unit of pickedMovers()) {
    const from = target(unit);
    if (from) aim(unit, [from[0] + x, from[1] + y, from[2]]);
  }
}

/** The mark that a light is on, if it is on one: what the hand asked, or what its beam passes through. */
export function markOf(unit: number): string | undefined {
  const marks = scene()?.room.marks ?? [];
  const asked = askedPoints.get(unit);
  if (asked && valid(unit, asked.when)) return marks.find((mark) => distance(mark.at, asked.at) < ON_MARK_M)?.name;
  const head = lightOf(unit)?.heads[0];
  return head && marks.find((mark) => offBeam(mark.at, head) < ON_MARK_M)?.name;
}

/** Aims the picked lights at the next mark in the room's order. */
export function nextMark(): void {
  const marks = scene()?.room.marks ?? [];
  const movers = pickedMovers();
  const last = movers.at(-1);
  if (last === undefined || marks.length === 0) return;
  const on = marks.findIndex((mark) => mark.name === markOf(last));
  const mark = marks[(on + 1) % marks.length];
  if (mark) for (const unit of movers) aim(unit, [...mark.at]);
}

/** Lets go of lights; with none named, of every light. What was asked and not yet sent is asked no more. */
export function letGo(units?: readonly number[]): void {
  setOpenWord(null);
  for (const unit of units ?? [...askedLevels.keys(), ...askedPoints.keys()]) {
    askedLevels.delete(unit);
    askedPoints.delete(unit);
  }
  if (!units) send({ type: 'let_go', unit: null });
  else for (const unit of units) send({ type: 'let_go', unit });
}

/** Where a light is meant to shine: what the hand asked, else where its spot is now. */
function target(unit: number): Point | undefined {
  const asked = askedPoints.get(unit);
  if (asked && valid(unit, asked.when)) return asked.at;
  return lightOf(unit)?.heads[0]?.spot?.at;
}

/** What was asked holds while the machine says so, and for the moment that it takes to hear so. */
function valid(unit: number, when: number | undefined): boolean {
  if (when === undefined) return false;
  return lightOf(unit)?.held || performance.now() - when < SETTLE_MS;
}

/** How far a point lies from the middle of a beam, as far as the beam goes. */
function offBeam(point: Point, head: HeadMoment): number {
  const reach = (head.spot?.throw_m ?? Infinity) + ON_MARK_M;
  const ahead = point.reduce((sum, p, i) => sum + (p - (head.from[i] ?? 0)) * (head.along[i] ?? 0), 0);
  if (ahead < 0 || ahead > reach) return Infinity;
  return distance(point, head.from.map((from, i) => from + (head.along[i] ?? 0) * ahead) as Point);
}

function distance(a: Point, b: Point): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

/** Lets values through at once, then at the pace; the last one always gets through. */
export function paced<T>(way: (value: T) => unknown): (value: T) => void {
  let last = -Infinity;
  let waiting: { value: T } | undefined;
  const pass = () => {
    if (!waiting) return;
    last = performance.now();
    const { value } = waiting;
    waiting = undefined;
    way(value);
  };
  return (value) => {
    const idle = waiting === undefined;
    waiting = { value };
    const wait = last + PACE_MS - performance.now();
    if (wait <= 0) pass();
    else if (idle) setTimeout(pass, wait);
  };
}

/** A value of this page that gives way a moment after it was last set. */
function settling() {
  const [get, set] = createSignal<number>();
  let timer: ReturnType<typeof setTimeout> | undefined;
  return {
    get,
    set(value: number) {
      set(value);
      clearTimeout(timer);
      timer = setTimeout(() => set(undefined), SETTLE_MS);
    },
  };
}
