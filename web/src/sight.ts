// Sighting in as this page does it: which light is open, what a hand asks of it, and which panel it needs next. What is
// known of each light, and every figure and sentence about it, comes from the machine.
import { createEffect, createMemo, createRoot, createSignal, on } from 'solid-js';
import type { Point } from './act';
import type { Misses } from './room/view';
import { calm, moment, pickAll, scene, send, setSight, sightAt, unitOf } from './state';
import type { AxisName, NudgeStep, Scene, SightingNow, SightingView, UnitView } from './wire.gen';
import { keepUnits } from './words';

/** A held arrow moves the spot again after so long, and then at this pace. */
export const HOLD_MS = 450;
export const PACE_MS: Record<NudgeStep, number> = { coarse: 240, fine: 160, creep: 120 };

/** What the page shows of the open light. */
export type Panel = 'choose' | 'aim' | 'signs' | 'time';

/** How far a press moves the spot. */
export const [step, setStep] = createSignal<NudgeStep>('coarse');
/** A panel that a hand opened, over the one that the machine's doings call for. */
const [opened, setOpened] = createSignal<Panel | null>(null);
/** Pan was answered for in the sign check that is open. */
const [panSeen, setPanSeen] = createSignal(false);
/** What was known when 'It's on' was pressed, until the machine has taken it: it may say that the spot does not stand still yet. */
const [asked, setAsked] = createSignal<Scene | null>(null);
/** Lights whose sign check was passed over on this page. */
const [skipped, setSkipped] = createSignal<readonly number[]>([]);

const derived = createRoot(() => {
  const unit = createMemo(() => {
    const number = sightAt()?.unit;
    return number === null || number === undefined ? undefined : unitOf(number);
  });
  // The doings change at any moment; their clock and their channel values alone are no reason to build anything anew.
  const doing = createMemo(
    () => moment()?.sighting ?? null,
    null,
    { equals: (a, b) => a === b || (!!a && !!b && told(a) === told(b)) },
  );
  const mine = createMemo(() => (doing() && doing()?.unit === unit()?.number ? doing() : null));
  const heads = createMemo(() => (scene()?.units ?? []).filter((one) => one.moves && one.sighting));
  // A light that is left, or changed for another, goes back to the show.
  createEffect(
    on(
      () => sightAt()?.unit ?? null,
      (now, before) => {
        setOpened(null);
        setAsked(null);
        setPanSeen(false);
        setStep('coarse');
        if (before !== null && before !== undefined && before !== now && doing()?.unit === before) send({ type: 'sight_end', unit: before });
        if (now !== null) pickAll([now]);
        else if (before !== null && before !== undefined) pickAll([]);
      },
    ),
  );
  createEffect(() => {
    const fresh = scene();
    if (asked() === null || asked() === fresh) return;
    setAsked(null);
    setOpened('choose');
  });
  return { unit, mine, heads };
});

function told(now: SightingNow): string {
  return [now.unit, now.mark, now.watching, now.timing, now.alone, now.says].join('\n');
}

/** The light that is open. */
export const sightUnit = (): UnitView | undefined => derived.unit();
/** What is done with it now, if it is the one that is sighted in. */
export const doing = (): SightingNow | null => derived.mine();
/** Lights that can be sighted in. */
export const heads = (): UnitView[] => derived.heads();
/** What is known of the open light. */
export const known = (): SightingView | null => sightUnit()?.sighting ?? null;

/** The panel that is wanted now: what the machine is at, unless a hand opened another. */
export function panel(): Panel {
  const now = doing();
  if (now?.timing) return 'time';
  if (now?.watching) return 'signs';
  return opened() ?? (now?.mark ? 'aim' : 'choose');
}

/** Opens another panel of the same light. */
export function openPanel(next: Panel): void {
  setAsked(null);
  setOpened(next);
}

/** How well a light is known, in the machine's words: what matters most, or, with enough known, how well. */
export function summary(view: SightingView): string {
  const said = view.enough ? view.says.at(-1) : view.says[0];
  return view.sights.length === 0 || !said ? 'Not sighted yet.' : keepUnits(said);
}

/** The sign check is worth offering: nobody has watched this light yet, and nobody has passed it over. */
export const signsOffered = (unit: UnitView): boolean => unit.sighting?.signs === 'not watched' && !skipped().includes(unit.number);

/** Leaves the sign check; what was moved for it is forgotten. */
export function skipSigns(): void {
  const unit = sightUnit()?.number;
  if (unit === undefined) return;
  if (doing()?.watching) send({ type: 'sign_went', unit, axis: signAxis(), towards: null });
  setSkipped((before) => [...before, unit]);
  setPanSeen(false);
  setOpened('choose');
}

/** The light after this one that still needs sights; with none left, nothing. */
export function nextLight(): UnitView | undefined {
  const all = heads();
  const at = all.findIndex((one) => one.number === sightAt()?.unit);
  return [...all.slice(at + 1), ...all.slice(0, Math.max(0, at))].find((one) => !one.sighting?.enough);
}

/** Other lights go dark while one is sighted in, or come back. */
export function setAlone(dark: boolean): void {
  const unit = sightUnit()?.number;
  if (unit !== undefined) send({ type: 'sight_alone', unit, on: dark });
}

export const openLight = (unit: number | null): void => setSight({ unit });
export const shut = (): void => setSight(null);

/** Sends the open light to a mark. */
export function goTo(mark: string): void {
  const unit = sightUnit()?.number;
  if (unit === undefined) return;
  setStep('coarse');
  setAsked(null);
  if (send({ type: 'sight_go', unit, mark })) setOpened('aim');
}

/** The mark in hand: the one that the light went to. */
export const markInHand = (): string | null => doing()?.mark ?? null;

/** It is on the mark: keeps a sight, and then shows what is known now. */
export function itIsOn(): void {
  const unit = sightUnit()?.number;
  const mark = markInHand();
  if (unit === undefined || mark === null) return;
  setAsked(scene() ?? null);
  if (!send({ type: 'sight_on', unit, mark })) setAsked(null);
}

/** Takes the last sight back. */
export function undoSight(): void {
  const unit = sightUnit()?.number;
  if (unit === undefined || (known()?.sights.length ?? 0) === 0) return;
  send({ type: 'sight_undo', unit });
}

/** What Enter means: it is on, or on to the mark that comes next, or on to the next light. */
export function enter(): void {
  if (panel() === 'aim') return itIsOn();
  if (panel() !== 'choose') return;
  const mark = known()?.next_mark;
  if (known()?.enough) toNextLight();
  else if (mark) goTo(mark);
}

/** Goes to the mark after the one in hand, in the room's order. */
export function nextMarkInRoom(): void {
  const marks = scene()?.room.marks ?? [];
  const at = marks.findIndex((mark) => mark.name === markInHand());
  const mark = marks[(at + 1) % marks.length];
  if (mark) goTo(mark.name);
}

export function toNextLight(): void {
  const next = nextLight();
  openLight(next ? next.number : null);
}

/** From the inside out: the panel, the light, sighting in itself. */
export function stepOut(): void {
  if (sightAt()?.unit === null) return shut();
  if (panel() !== 'choose' && !doing()?.watching && !doing()?.timing) return openPanel('choose');
  openLight(null);
}

// Directions on the picture.

let seen: (unit: number, right: number, down: number) => Point | null = () => null;

/** Says how a direction on the picture is found in the room. */
export function seenBy(way: typeof seen): void {
  seen = way;
}

/** Moves the spot towards a direction on the picture. */
export function nudgeSight(right: number, down: number, by: NudgeStep = step()): void {
  const unit = sightUnit()?.number;
  const towards = unit === undefined ? null : seen(unit, right, down);
  if (unit !== undefined && towards) send({ type: 'sight_nudge', unit, towards, step: by });
}

// The sign check.

/** Lights it at a mark, so that its spot is there to be watched. */
export function beginSigns(): void {
  const unit = sightUnit()?.number;
  const mark = known()?.next_mark ?? scene()?.room.marks[0]?.name;
  if (unit === undefined) return;
  setPanSeen(false);
  if (doing()?.mark || !mark || send({ type: 'sight_go', unit, mark })) setOpened('signs');
}

/** Which axis the sign check asks about: tilt once an answer for pan has told something. */
export const signAxis = (): AxisName => doing()?.watching as AxisName | null ?? (panSeen() && known()?.signs !== 'not watched' ? 'tilt' : 'pan');

/** Moves the axis that is asked about a little. */
export function tryAxis(): void {
  const unit = sightUnit()?.number;
  if (unit !== undefined && send({ type: 'sign_try', unit, axis: signAxis() })) setOpened('signs');
}

/** The spot went this way on the picture; `null`: it could not be seen. */
export function spotWent(way: { right: number; down: number } | null): void {
  const unit = sightUnit()?.number;
  if (unit === undefined) return;
  const axis = signAxis();
  const towards = way && seen(unit, way.right, way.down);
  if (!send({ type: 'sign_went', unit, axis, towards })) return;
  if (!towards) return void setOpened('signs');
  setPanSeen(axis === 'pan');
  if (axis === 'tilt') setSkipped((before) => [...before, unit]);
  setOpened(axis === 'pan' ? 'signs' : 'choose');
}

// The stopwatch.

/** Sends an axis to one end and then to the other; `false` when nothing was sent. */
export function startWatch(axis: AxisName): boolean {
  const unit = sightUnit()?.number;
  if (unit === undefined || !send({ type: 'stopwatch_start', unit, axis })) return false;
  setOpened('time');
  return true;
}

/** Leaves the stopwatch; a run that is under way is given up, and the light goes back to the show. */
export function leaveWatch(busy: boolean): void {
  const unit = sightUnit()?.number;
  if (unit !== undefined && busy) send({ type: 'sight_end', unit });
  setOpened('choose');
}

export function thereNow(all: boolean): void {
  const unit = sightUnit()?.number;
  if (unit !== undefined) send({ type: 'stopwatch_there', unit, all_of_kind: all });
}

// What the picture draws.

const CM = 0.01;
const metres = (cm: readonly (number | null)[]) => cm.map((value) => (value === null ? null : value * CM));

/** How well a light knows the marks. */
export const missesOf = (view: SightingView): Misses => ({ expected: metres(view.expected_cm), spots: metres(view.spot_cm) });

/** The rings on the plan: of the open light, or of every light that has any. */
export const ringsShown = (): Misses[] => {
  const open = known();
  return (open ? [open] : heads().flatMap((unit) => unit.sighting ?? [])).map(missesOf);
};

/** Only the stand-in answers, so that the picture is all there is to look at. */
export const onlyStandIn = (): boolean => (calm()?.link.outputs.length ?? 0) === 0;
