// A first show: four questions, and the show that would come of the answers, seen before it is begun.
import { batch, createEffect, createSignal, onCleanup } from 'solid-js';
import { createStore } from 'solid-js/store';
import { putOn } from './act';
import type { BeginLights, BeginRoom, StageSide } from './change.gen';
import { credentials } from './door';
import { canMake, change } from './making';
import { now as running, scene, setUpAt, sightAt, stage, up } from './state';
import type { BeginAsk, BeginView } from './wire.gen';

/** So many lights of a kind at most. */
export const MOST = 200;
/** The machine is asked when the hand has rested for so long. */
const REST_MS = 200;

/** Nothing hangs here, and nothing is made: this browser may begin. The rig's own page stays as it is. */
export const beginning = (): boolean => {
  const it = scene();
  const bare = it && it.units.length + it.looks.length + it.chases.length + it.cues.length === 0;
  return bare === true && canMake() && stage() !== 'rig' && !sightAt() && !setUpAt();
};

/** What a kind of lights is answered with. */
export type Chosen = { profile: string; count: string; place: string };
/** A room's measures as they are typed. */
export type Typed = { width: string; depth: string; height: string; side: StageSide | 'none'; stageDepth: string; stageHeight: string };

const [chosenStore, setChosen] = createStore<Chosen[]>([]);
/** The kinds that were chosen, in order. */
export const chosen: readonly Chosen[] = chosenStore;
/** Which room: `null` the one that the show has, a name, or one's own measures. */
export const [room, setRoom] = createSignal<string | 'own' | null>(null);
const [typedStore, setTyped] = createStore<Typed>({ width: '12', depth: '18', height: '5', side: 'none', stageDepth: '3', stageHeight: '0.6' });
export const typed: Typed = typedStore;
export { setTyped };

/** What the machine made of the answers so far. */
export const [answer, setAnswer] = createSignal<BeginView>();
/** The show as it would be, for the room's picture. */
export const preview = () => (beginning() ? (answer()?.preview ?? null) : null);
/** Why the change itself was refused. */
export const [refusedTo, setRefusedTo] = createSignal('');

export const add = (profile: string) => setChosen(chosen.length, { profile, count: '2', place: '' });
export const setCount = (at: number, count: string) => setChosen(at, 'count', count);
export const setPlace = (at: number, place: string) => setChosen(at, 'place', place);
export const remove = (at: number) => setChosen((all) => all.filter((_, index) => index !== at));
/** One more or one fewer; none takes the kind away. */
export function step(at: number, by: 1 | -1): void {
  const now = whole(chosen[at]?.count ?? '');
  const next = (now ?? 0) + by;
  if (next < 1) remove(at);
  else setCount(at, String(Math.min(MOST, next)));
}

/** A whole number as typed; `null` where it is none. */
export function whole(text: string): number | null {
  return /^\s*\d{1,6}\s*$/.test(text) ? Number(text) : null;
}

/** Metres as typed, with a point or a comma; `null` where they are none. */
export function metres(text: string): number | null {
  return /^\s*\d{1,6}([.,]\d{0,3})?\s*m?\s*$/.test(text) ? Number(text.replace(',', '.').replace('m', '')) : null;
}

/** The measures that were typed; `null` where one cannot be read. */
export function measured(from: Typed): BeginRoom | null {
  const [width, depth, height] = [metres(from.width), metres(from.depth), metres(from.height)];
  const [stageDepth, stageHeight] = [metres(from.stageDepth), metres(from.stageHeight)];
  if (width === null || depth === null || height === null) return null;
  if (from.side === 'none') return { width, depth, height, stage: null };
  if (stageDepth === null || stageHeight === null) return null;
  return { width, depth, height, stage: { side: from.side, depth: stageDepth, height: stageHeight } };
}

/** The answers as the machine takes them, or what cannot be read. */
export function ask(): BeginAsk | string {
  const which = room() === 'own' ? measured({ ...typed }) : room();
  if (which === null && room() !== null) return 'Write metres, such as 12.5.';
  const lights: BeginLights[] = [];
  for (const { profile, count, place } of chosen) {
    const many = whole(count);
    if (many === null) return `Say how many of “${profile}” there are: a whole number.`;
    lights.push({ profile, mode: null, count: many, place: place || null });
  }
  return { room: which, lights };
}

/** Keeps the answer new for as long as the questions stand. */
export function follow(): void {
  let asked = 0;
  createEffect(() => {
    const now = ask();
    const mine = ++asked;
    setRefusedTo('');
    if (typeof now === 'string' || !up()) return;
    const wait = setTimeout(async () => {
      try {
        const heard = await fetch('begin.json', { method: 'POST', cache: 'no-store', headers: credentials(), body: JSON.stringify(now) });
        if (heard.ok && mine === asked) setAnswer((await heard.json()) as BeginView);
      } catch {
        // Out of touch: the answer before stays until there is another.
      }
    }, answer() ? REST_MS : 0);
    onCleanup(() => clearTimeout(wait));
  });
}

/** Takes the show: one change, which undo takes back. Its first look is put on. */
export function begin(): void {
  const now = ask();
  if (typeof now === 'string' || now.lights.length === 0) return;
  change({ type: 'begin', room: now.room, lights: now.lights }, (done, says) => {
    if (!done) return void setRefusedTo(says);
    batch(() => (setChosen([]), setRoom(null), setAnswer(undefined)));
    lightFirst();
  });
}

/** How often the first look is asked for, and for how long: the machine may still be taking the new show up. */
const ASK_MS = 400;
const GIVE_UP_MS = 10_000;

/** Once the looks have come, the first is put on; unless somebody puts on another meanwhile. */
function lightFirst(): void {
  const until = performance.now() + GIVE_UP_MS;
  const wish = () => {
    const first = scene()?.looks[0]?.name;
    if (running.look !== null || performance.now() > until) return clearInterval(timer);
    if (first !== undefined) putOn(first);
  };
  const timer = setInterval(wish, ASK_MS);
  wish();
}
