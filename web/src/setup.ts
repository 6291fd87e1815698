// Setting up as this page does it: which light's card is open, and what a hand says of the open question before it is
// sent. What is to be done, what is asked and what follows come from the machine.
import { createEffect, createMemo, createRoot, createSignal, on } from 'solid-js';
import { send, setSetUp, settingUp, setUpAt } from './state';
import type { AskedLight, CheckView, Otherwise, QuestionView, SeenName, SetUpCard, SetUpPart } from './wire.gen';

/** A card, and the line that it belongs to. */
export type Place = { part: SetUpPart; card: SetUpCard };

/** The light whose card is open; none yet: the first that is not done. */
const [opened, setOpened] = createSignal<number | null>(null);
/** What this hand ticked last, to take back. */
const [last, setLast] = createSignal<{ keys: string[]; done: boolean; unit: number } | null>(null);
/** What lights of the open question do otherwise than they should. */
const [said, setSaid] = createSignal<ReadonlyMap<number, SeenName>>(new Map());

const derived = createRoot(() => {
  const places = createMemo<Place[]>(() => (settingUp()?.parts ?? []).flatMap((part) => part.cards.map((card) => ({ part, card }))));
  const check = createMemo<CheckView | null>(() => settingUp()?.check ?? null);
  const question = createMemo<QuestionView | null>(() => check()?.question ?? null);
  // Another question: nothing is said of it yet.
  const asked = createMemo(() => `${check()?.answered} ${question()?.words}`);
  createEffect(on(asked, () => setSaid(new Map())));
  return { places, check, question };
});

export const places = (): Place[] => derived.places();
export const check = (): CheckView | null => derived.check();
export const question = (): QuestionView | null => derived.question();

/** Where on the way along the lines the open card is. */
export function at(): number {
  const all = places();
  const open = all.findIndex(({ card }) => card.unit === opened());
  if (open >= 0) return open;
  const first = all.findIndex(({ card }) => !card.done);
  return first >= 0 ? first : 0;
}

export const place = (): Place | undefined => places()[at()];
export const openCard = (unit: number): void => void setOpened(unit);

/** The card after this one that is not done; none when all are. */
export function nextCard(): SetUpCard | undefined {
  const all = places();
  return [...all.slice(at() + 1), ...all.slice(0, at())].find(({ card }) => !card.done)?.card;
}

/** Ticks steps, or takes their ticks away. */
export function tick(keys: string[], done: boolean): void {
  const unit = place()?.card.unit;
  if (unit === undefined || !send({ type: 'set_up_tick', keys, done })) return;
  setOpened(unit);
  setLast({ keys, done, unit });
}

export const lastTick = last;

/** Does the contrary of what was ticked last. */
export function untick(): void {
  const before = last();
  if (!before || !send({ type: 'set_up_tick', keys: before.keys, done: !before.done })) return;
  setOpened(before.unit);
  setLast(null);
}

/** Every tick away, for another hall; it can be taken back like any other. */
export function untickAll(): void {
  const keys = places().flatMap(({ card }) => card.steps.filter((step) => step.done).map((step) => step.key));
  if (keys.length > 0) tick(keys, false);
}

/** Opens the line check, and begins one unless one is open. */
export function openCheck(): void {
  if (!check()?.open) send({ type: 'set_up_check', on: true });
  setSetUp('check');
}

export const endCheck = (): void => void send({ type: 'set_up_check', on: false });
export const againCheck = (): void => void send({ type: 'set_up_anew' });
export const backOne = (): void => void send({ type: 'set_up_back' });

/** What a light does by what this hand said so far. */
export const seenOf = (light: AskedLight): SeenName => said().get(light.unit) ?? light.expected;

/** How many lights do otherwise. */
export const otherwise = (): number => said().size;

/** A light was tapped, in the list or in the picture: it does the next of what it may do. */
export function tapped(unit: number): void {
  if (setUpAt() === 'lights') return void (places().some(({ card }) => card.unit === unit) && setOpened(unit));
  const light = question()?.lights.find((one) => one.unit === unit);
  if (!light) return;
  const next = light.choices[(light.choices.indexOf(seenOf(light)) + 1) % light.choices.length] ?? light.expected;
  say(light, next);
}

/** Says what one light does; nothing is sent yet. */
export function say(light: AskedLight, seen: SeenName): void {
  setSaid((before) => {
    const now = new Map(before);
    if (seen === light.expected) now.delete(light.unit);
    else now.set(light.unit, seen);
    return now;
  });
}

/** Sends what was said: every other light does as it should. */
export function sendAnswer(extra: Otherwise[] = []): void {
  const answered = check()?.answered;
  if (answered === undefined) return;
  const others = [...said()].map(([unit, seen]): Otherwise => ({ unit, seen }));
  send({ type: 'set_up_answer', question: answered, otherwise: [...others, ...extra] });
}

/** Nobody can say what the lights of this question do. */
export function cannotSay(): void {
  setSaid(new Map());
  sendAnswer((question()?.lights ?? []).map((light) => ({ unit: light.unit, seen: null })));
}
