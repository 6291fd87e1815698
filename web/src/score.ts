// Scored tracks: which one is open, where it is, its sound on this page, and the hand on its parts.
import { batch, createEffect, createMemo, createRoot, createSignal, on } from 'solid-js';
import type { ScorePartField, Value } from './change.gen';
import { credentials, own } from './door';
import { change, field, toggleField } from './making';
import { moment, scene, send, setOver } from './state';
import type { ScoreAsk, ScorePartView, ScoreView } from './wire.gen';

/** A page that plays says where it is this often. */
const TELL_MS = 200;
/** The machine hears that this page plays within this time; until then another player is no reason to stop. */
const GRACE_MS = 1500;
/** A large file comes in pieces of this size. */
const PIECE = 4 << 20;

const ask = (what: ScoreAsk) => send({ type: 'score', ask: what });

/** What this page calls itself when it plays. */
const PLAYER = 1 + Math.floor(Math.random() * 2 ** 31);

// Which.

const [openName, setOpenName] = createSignal<string | null>(null);
/** The part that is chosen, by its number in the file. */
export const [chosen, setChosen] = createSignal<number | null>(null);

const made = createRoot(() => {
  const all = createMemo(() => scene()?.scores ?? []);
  const score = createMemo<ScoreView | undefined>(() => all().find(({ name }) => name === openName()) ?? all()[0]);
  return { all, score };
});
/** All of them. */
export const scores = made.all;
/** The one that is open. */
export const score = made.score;
/** The chosen part. */
export const part = (): ScorePartView | undefined => score()?.parts.find((one) => one.part === chosen());

/** Opens a score in the column. */
export function openScore(name: string | null): void {
  batch(() => {
    if (name !== null && name !== score()?.name) {
      pause();
      setRest(0);
      setChosen(null);
    }
    if (name !== null) setOpenName(name);
    setOver('score');
  });
}

/** Esc: the open word, then the chosen part. `true` when there was something to shut. */
export function stepOutOfScore(): boolean {
  if (field()?.startsWith('score ')) toggleField(field()!);
  else if (chosen() !== null) setChosen(null);
  else return false;
  return true;
}

// Where it is.

/** Where it stands while nothing plays, seconds. */
const [rest, setRest] = createSignal(0);
/** Why it cannot be heard here. */
export const [wrong, setWrong] = createSignal('');
/** The sound is on its way here. */
export const [loading, setLoading] = createSignal(false);
const [sounding, setSounding] = createSignal(false);

let sound: HTMLAudioElement | null = null;
let soundOf = '';
let telling: ReturnType<typeof setInterval> | undefined;
let began = 0;
let heardAt = 0;

/** The score that is open is played, here or elsewhere. */
export const playing = (): boolean => sounding() || moment()?.score?.score === score()?.name;
/** How it is played: with its sound on this page, on another, or by the machine without. */
export const how = (): 'here' | 'elsewhere' | 'silent' | null => {
  if (sounding()) return 'here';
  const now = moment()?.score;
  if (!now || now.score !== score()?.name) return null;
  return now.player === 0 ? 'silent' : 'elsewhere';
};

/** Where it is at this moment, seconds. */
export function placeNow(): number {
  const length = score()?.length_s ?? 0;
  if (sounding() && sound) return Math.min(sound.currentTime, length);
  const now = moment()?.score;
  if (now && now.score === score()?.name) return Math.min(now.at_s + (performance.now() - heardAt) / 1000, length);
  return Math.min(rest(), length);
}

createRoot(() => {
  createEffect(on(moment, () => (heardAt = performance.now())));
  // What is played stays where it was when it ends.
  createEffect(
    on(
      () => (moment()?.score?.score === score()?.name ? moment()?.score?.at_s : undefined),
      (at) => at !== undefined && !sounding() && setRest(at),
    ),
  );
  // Another has taken over, or stopped it.
  createEffect(() => {
    const player = moment()?.score?.player;
    if (sounding() && player !== PLAYER && performance.now() - began > GRACE_MS) hush();
  });
});

// Playing.

/** Plays it here with its sound, or lets it stand. */
export function playOrPause(): void {
  if (playing()) pause();
  else void playHere();
}

/** Lets it stand; the light stays as it is. */
export function pause(): void {
  if (!playing()) return;
  setRest(placeNow());
  hush();
  ask({ do: 'stop' });
}

/** The machine plays it, without sound. */
export function playSilently(): void {
  const name = score()?.name;
  if (name !== undefined) ask({ do: 'play', score: name, at_s: fromHere() });
}

/** From the place now; from the beginning where that is the end. */
function fromHere(): number {
  const length = score()?.length_s ?? 0;
  return rest() >= length - 0.05 ? 0 : rest();
}

async function playHere(): Promise<void> {
  const open = score();
  if (!open || loading()) return;
  setWrong('');
  setLoading(true);
  try {
    const element = await soundFor(open);
    element.currentTime = fromHere();
    await element.play();
    began = performance.now();
    setSounding(true);
    clearInterval(telling);
    telling = setInterval(tell, TELL_MS);
    tell();
  } catch (error) {
    hush();
    setWrong(error instanceof DOMException && error.name === 'NotAllowedError' ? 'The browser wants a press before it plays: press Play again.' : `The sound cannot be played here: ${reason(error)}.`);
  } finally {
    setLoading(false);
  }
}

function reason(error: unknown): string {
  const says = error instanceof Error ? error.message.trim() : '';
  return says.replace(/\.$/, '') || 'the browser gives no reason';
}

async function soundFor(open: ScoreView): Promise<HTMLAudioElement> {
  const index = scores().indexOf(open);
  const key = `${index} ${open.name} ${open.file}`;
  if (sound && soundOf === key && !sound.error) return sound;
  const address = `/score/${index}/sound`;
  // An element sends no token: who needs one gets the sound in pieces first.
  const element = new Audio(own() && Object.keys(credentials()).length === 0 ? address : await inPieces(address));
  await new Promise<void>((ready, failed) => {
    element.onloadedmetadata = () => ready();
    element.onerror = () => void why(address).then((words) => failed(new Error(words)));
    element.preload = 'auto';
    element.load();
  });
  element.onended = () => {
    setRest(0);
    hush();
    ask({ do: 'stop' });
  };
  element.onerror = () => hush();
  element.onseeked = () => sounding() && tell();
  sound = element;
  soundOf = key;
  return element;
}

/** What the machine says of a sound that the browser could not take. */
async function why(address: string): Promise<string> {
  const answer = await fetch(address, { headers: { ...credentials(), Range: 'bytes=0-0' } });
  return answer.ok ? 'this browser does not know this kind of sound' : (await answer.text()).trim();
}

async function inPieces(address: string): Promise<string> {
  const pieces: Blob[] = [];
  for (let from = 0, all = 1; from < all; ) {
    const answer = await fetch(address, { headers: { ...credentials(), Range: `bytes=${from}-${from + PIECE - 1}` } });
    if (!answer.ok) throw new Error((await answer.text()).trim());
    const piece = await answer.blob();
    all = Number(/\/(\d+)$/.exec(answer.headers.get('content-range') ?? '')?.[1] ?? piece.size);
    pieces.push(piece);
    from += piece.size;
    if (piece.size === 0) break;
  }
  return URL.createObjectURL(new Blob(pieces, { type: pieces[0]?.type ?? '' }));
}

function tell(): void {
  const name = score()?.name;
  if (!sound || name === undefined || sound.paused) return;
  ask({ do: 'at', score: name, at_s: sound.currentTime, clock_ms: performance.now(), player: PLAYER });
}

/** No sound here any more. */
function hush(): void {
  clearInterval(telling);
  sound?.pause();
  setSounding(false);
}

/** Goes to a place, seconds; what plays goes on from there. */
export function seek(at: number): void {
  const open = score();
  if (!open) return;
  const to = Math.max(0, Math.min(open.length_s, at));
  setRest(to);
  if (sounding() && sound) sound.currentTime = to;
  else if (how() === 'silent') ask({ do: 'play', score: open.name, at_s: to });
}

// Bars.

/** The bar that a moment lies in, from 1; 0 before the first. */
export function barAt(open: ScoreView, at: number): number {
  const next = open.bars.findIndex((begin) => begin > at + 1e-6);
  return next < 0 ? Math.max(0, open.bars.length - 1) : next;
}

/** The bar whose beginning is nearest to a moment, from 1; 0 where there are none. */
export function nearestBar(open: ScoreView, at: number): number {
  let best = 0;
  for (let bar = 1; bar < open.bars.length; bar += 1) {
    if (best === 0 || Math.abs(open.bars[bar - 1]! - at) < Math.abs(open.bars[best - 1]! - at)) best = bar;
  }
  return best;
}

/** Goes so many bars on; seconds where there are none. */
export function seekBars(by: number): void {
  const open = score();
  if (!open) return;
  const now = placeNow();
  if (open.bars.length < 2) return seek(now + by);
  const bar = barAt(open, now + 0.02) + by;
  seek(bar < 1 ? 0 : open.bars[Math.min(bar, open.bars.length - 1) - 1]!);
}

// The hand on its parts.

/** Sets fields of a part; those that are null are left out. */
export function setPart(of: ScorePartView, values: { [key in ScorePartField]?: Value | null }, answer?: (done: boolean) => void): void {
  const name = score()?.name;
  if (name !== undefined) change({ type: 'score_part_set', score: name, part: of.part, values }, answer);
}

/** Moves a part by bars, with its place in the bar; by seconds where there are no bars. */
export function movePart(of: ScorePartView, by: number): void {
  const open = score();
  if (!open) return;
  const bar = of.values.bar;
  if (typeof bar === 'number') return moveToBar(of, bar + by);
  if (open.bars.length > 1) return moveToBar(of, nearestBar(open, of.at_s) + by);
  setPart(of, { time: `${Math.max(0, Math.round((of.at_s + by) * 100) / 100)} s` });
}

/** Puts a part on a bar. */
export function moveToBar(of: ScorePartView, bar: number): void {
  const open = score();
  if (!open) return;
  const to = Math.max(1, Math.min(open.bars.length - 1, bar));
  if (to === of.values.bar) return;
  setPart(of, typeof of.values.bar === 'number' ? { bar: to } : { bar: to, time: null });
}

/** Puts a part where the track is: the look that is on there goes on, until another is chosen. */
export function addPartHere(): void {
  const open = score();
  if (!open) return;
  const at = placeNow();
  const bar = nearestBar(open, at);
  const place: { [key in ScorePartField]?: Value } = bar > 0 && at > open.bars[0]! - 1 ? { bar } : { time: `${Math.round(at * 100) / 100} s` };
  const number = open.parts.reduce((most, one) => Math.max(most, one.part), 0) + 1;
  change({ type: 'score_part_add', score: open.name, values: place }, (done) => done && setChosen(number));
}

/** Calls the open score otherwise; it stays open. */
export function renameScore(to: string, answer?: (done: boolean) => void): void {
  const name = score()?.name;
  if (name === undefined) return;
  change({ type: 'score_rename', name, to }, (done) => {
    if (done) setOpenName(to.trim());
    answer?.(done);
  });
}

/** Takes the open score out of the show; its sound file stays where it is. */
export function removeScore(): void {
  const name = score()?.name;
  if (name === undefined) return;
  pause();
  change({ type: 'score_remove', name }, (done) => done && batch(() => (setOpenName(null), setChosen(null), setRest(0))));
}

/** Takes a part away. */
export function removePart(of: ScorePartView): void {
  const name = score()?.name;
  if (name === undefined) return;
  change({ type: 'score_part_remove', score: name, part: of.part }, (done) => done && setChosen(null));
}

// Its outline.

const [outline, setOutline] = createSignal<{ key: string; peaks: readonly number[] } | null>(null);
let fetching = '';

/** The loudest sample of each twentieth of a second, 0 to 255; empty while it is not here. */
export function peaks(): readonly number[] {
  const open = score();
  if (!open) return [];
  const key = `${open.name} ${open.file}`;
  if (outline()?.key === key) return outline()!.peaks;
  if (fetching !== key) {
    fetching = key;
    void fetchOutline(key, scores().indexOf(open));
  }
  return [];
}

async function fetchOutline(key: string, index: number): Promise<void> {
  try {
    const answer = await fetch(`/score/${index}/outline.json`, { headers: credentials() });
    if (answer.ok) setOutline({ key, peaks: (await answer.json()) as number[] });
    else setWrong(`The sound is not to be found: ${(await answer.text()).trim()}.`);
  } catch {
    // Without touch there is nothing to draw; it is asked for again when it is opened anew.
    fetching = '';
  }
}
