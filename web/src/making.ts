// The show as it is made on this page: what is open, what is typed and not yet sent, and the changes as they leave.
import { batch, createEffect, createMemo, createRoot, createSignal, on, onCleanup, type Accessor } from 'solid-js';
import { createStore } from 'solid-js/store';
import type { Point } from './act';
import type { Change } from './change.gen';
import { may } from './door';
import { follow, NOBODY, type Known } from './follow';
import { scene, send, setStage, stage } from './state';
import type { ChaseView, CueView, Intent, LookView, ToPage } from './wire.gen';

type Said = Extract<ToPage, { type: 'said' }>;
type MakingIntent = Extract<Intent, { type: 'change' | 'undo' | 'redo' | 'keep_look' | 'bookmark' | 'restore' }>;

/** What can be open for making: one of each kind at a time. */
export type Kind = 'look' | 'chase' | 'cue';

/** What was done is told for so long. */
const SAID_MS = 8000;
/** A value that is dragged is sent when the hand has rested for so long. */
const REST_MS = 350;

/** The show can be changed here: this browser may. */
export const canMake = () => scene() !== undefined && may('make');

// Things are known by numbers of this page's own, so that what is called otherwise or stands elsewhere stays open.

const known = createRoot(() => {
  const of = (names: () => string[] | undefined) => createMemo<Known>((before) => follow(before, names() ?? []), NOBODY);
  return {
    look: of(() => scene()?.looks.map((look) => look.name)),
    chase: of(() => scene()?.chases.map((chase) => chase.name)),
    cue: of(() => scene()?.cues.map((cue) => cue.number)),
  };
});

/** The page's own numbers of the looks, chases or cues, in order. */
export const idsOf = (kind: Kind): readonly number[] => known[kind]().ids;
/** Where it stands, from 0; -1 when it is gone. */
export const placeOf = (kind: Kind, id: number): number => known[kind]().ids.indexOf(id);
export const lookAt = (id: number): LookView | undefined => scene()?.looks[placeOf('look', id)];
export const chaseAt = (id: number): ChaseView | undefined => scene()?.chases[placeOf('chase', id)];
export const cueAt = (id: number): CueView | undefined => scene()?.cues[placeOf('cue', id)];

/** A thing as it is, and as it was last while its row still goes. */
export function lasting<T>(read: () => T | undefined): Accessor<T> {
  return createMemo<T | undefined>((before) => read() ?? before) as Accessor<T>;
}

// What is open.

const [openStore, setOpenStore] = createStore<Record<Kind, number | null>>({ look: null, chase: null, cue: null });
/** The look, chase or cue that is open for making. */
export const open = openStore;
/** The open word of it, or a form ('new look'); null while none is. */
export const [field, setFieldOnly] = createSignal<string | null>(null);
/** The word was opened from the keyboard, so that its editor takes the focus. */
export const [byKey, setByKey] = createSignal(false);
/** Tonight's pads are being chosen. */
export const [choosing, setChoosing] = createSignal(false);

const STAGE_OF = { looks: 'look', chases: 'chase', cues: 'cue' } as const;

/** Opens a look, chase or cue, or shuts it. */
export function openItem(kind: Kind, id: number | null): void {
  batch(() => {
    setOpenStore(kind, id);
    setFieldOnly(null);
  });
}

/** Opens a word, or shuts it when it is open. */
export function toggleField(key: string, keyboard = false): void {
  batch(() => {
    setByKey(keyboard);
    setFieldOnly(field() === key ? null : key);
  });
}

/**
 * Shuts the open word; its handle has the focus again if the editor had it. When a request is being answered, only the word
 * from which it came: another may have been opened meanwhile.
 */
export function closeField(): void {
  const key = field();
  if (key === null || (answered && answered.field !== key)) return;
  const inside = document.activeElement?.closest('.editor, form') || document.activeElement === document.body;
  setFieldOnly(null);
  if (inside) focusHandle(key);
}

/** Gives the focus to the handle of a word, once the page has settled. */
export function focusHandle(key: string): void {
  requestAnimationFrame(() => document.querySelector<HTMLElement>(`[data-opens="${CSS.escape(key)}"]`)?.focus({ preventScroll: true }));
}

/** Esc: the open word, then the open thing, then the choice of pads. `true` when there was something to shut. */
export function stepBack(): boolean {
  const kind = kindHere();
  if (field() !== null) closeField();
  else if (choosing() && stage() === 'tonight') setChoosing(false);
  else if (kind && open[kind] !== null) {
    const id = open[kind];
    openItem(kind, null);
    focusHandle(`${kind} ${id}`);
  } else return false;
  return true;
}

/** The kind of thing that this stage makes. */
export const kindHere = (): Kind | undefined => STAGE_OF[stage() as keyof typeof STAGE_OF];

createRoot(() => {
  // What is gone is not open; a form belongs to its stage.
  createEffect(() => {
    for (const kind of ['look', 'chase', 'cue'] as const) {
      const id = open[kind];
      if (id !== null && placeOf(kind, id) < 0) openItem(kind, null);
    }
  });
  createEffect(on(stage, () => batch(() => (setFieldOnly(null), setChoosing(false))), { defer: true }));
});

// What is typed and not yet in the show.

const [draftStore, setDraftStore] = createStore<Record<string, string | undefined>>({});
/** What is typed into a field and not yet sent. */
export const draft = (key: string): string | undefined => draftStore[key];
/** Types into a field; `undefined` shows what the show has again. */
export const setDraft = (key: string, text: string | undefined) => setDraftStore(key, text);

/** The looks of a chase that is being put together, in order. */
export const [newSteps, setNewSteps] = createSignal<readonly string[]>([]);
/** What a cue that is being written puts on. */
export const [newCueLook, setNewCueLook] = createSignal<string | null>(null);
/** Keep all that is lit, or only what is in hand. */
export const [keepAll, setKeepAll] = createSignal(true);

// The machine answers each request in order.

type Answer = (done: boolean, says: string) => void;
type Asked = { answer: Answer | undefined; made: boolean; field: string | null };
const waiting: Asked[] = [];
/** The request that is being answered at this moment. */
let answered: Asked | undefined;

/** Why the machine refused what an open word asked for, until something else is asked. */
export const [refusal, setRefusal] = createSignal<{ field: string | null; says: string } | null>(null);

/** What the machine said last, while it is shown; `made` when it answers a change that can be taken back. */
export const [said, setSaid] = createSignal<Said & { made: boolean }>();
let saidTimer: ReturnType<typeof setTimeout> | undefined;

/** Takes in what came of a request. */
export function hearSaid(message: Said): void {
  clearTimeout(saidTimer);
  saidTimer = setTimeout(() => setSaid(undefined), SAID_MS);
  batch(() => {
    const asked = waiting.shift();
    setSaid({ ...message, made: !message.wrong && (asked?.made ?? false) });
    setRefusal(message.wrong && asked ? { field: asked.field, says: message.says } : null);
    answered = asked;
    asked?.answer?.(!message.wrong, message.says);
    answered = undefined;
  });
}

/** Says what was done by a request beside the socket, which undo takes back. */
export function tellDone(says: string): void {
  clearTimeout(saidTimer);
  saidTimer = setTimeout(() => setSaid(undefined), SAID_MS);
  setSaid({ type: 'said', says, wrong: false, made: true });
}

/** Without touch nothing will be answered any more. */
export function forgetAnswers(): void {
  for (const { answer } of waiting.splice(0)) answer?.(false, '');
}

function request(intent: MakingIntent, answer?: Answer): boolean {
  if (!send(intent)) {
    answer?.(false, '');
    return false;
  }
  waiting.push({ answer, made: ['change', 'keep_look', 'restore'].includes(intent.type), field: field() });
  return true;
}

/** Asks for a change; `answer` hears whether it was made. */
export const change = (change: Change, answer?: Answer) => request({ type: 'change', change }, answer);
export const undo = () => scene()?.edits.undo && request({ type: 'undo' });
export const redo = () => scene()?.edits.redo && request({ type: 'redo' });
export const keepLook = (name: string, units: number[] | null, answer?: Answer) => request({ type: 'keep_look', name, units }, answer);

/** Gives the show as it is now a name to come back to. */
export const bookmark = (name: string, answer?: Answer) => request({ type: 'bookmark', name }, answer);
/** Makes the show what it was at an entry of its history. */
export const restore = (id: number) => request({ type: 'restore', id });

/** Once the next thing of that kind and name has come, it is opened. */
export function openWhenCome(kind: Kind, name: string): void {
  createRoot((end) => {
    const stop = setTimeout(end, 20_000);
    createEffect(() => {
      const at = kind === 'cue' ? scene()?.cues.findIndex((cue) => cue.name === name) : known[kind]().names.indexOf(name);
      const id = at === undefined || at < 0 ? undefined : idsOf(kind)[at];
      if (id === undefined) return;
      clearTimeout(stop);
      queueMicrotask(end);
      openItem(kind, id);
      bringUp(kind, id);
    });
  });
}

/** Scrolls a row into view and gives its heading the focus, once it stands. */
export function bringUp(kind: Kind, id: number): void {
  requestAnimationFrame(() => {
    const row = document.querySelector<HTMLElement>(`[data-item="${kind} ${id}"]`);
    row?.scrollIntoView({ block: 'nearest' });
    row?.querySelector<HTMLElement>('[data-opens]')?.focus({ preventScroll: true });
  });
}

/** Moves the open look, chase or cue one place. */
export function moveOpen(by: -1 | 1): void {
  const kind = kindHere();
  const id = kind && open[kind];
  if (kind && typeof id === 'number') moveItem(kind, id, by);
}

/** Moves a look, chase or cue by places. */
export function moveItem(kind: Kind, id: number, by: number): void {
  const from = placeOf(kind, id);
  const to = Math.min(idsOf(kind).length, Math.max(1, from + 1 + by));
  const name = known[kind]().names[from];
  if (name === undefined || to === from + 1) return;
  if (kind === 'look') change({ type: 'look_move', name, to });
  else if (kind === 'chase') change({ type: 'chase_move', name, to });
  else change({ type: 'cue_move', number: name, to });
}

/** Opens the form that makes the first of a kind, on its own stage. */
export function begin(form: 'new look' | 'new chase' | 'new cue' | 'keep' | 'add lights'): void {
  const home = { 'new look': 'looks', 'new chase': 'chases', 'new cue': 'cues', keep: 'looks', 'add lights': 'rig' } as const;
  if (stage() !== home[form]) setStage(home[form]);
  queueMicrotask(() => {
    if (field() !== form) toggleField(form, true);
  });
}

// The room as a helper: while who or where is open, a tap or a drag there says it.

/** Hears taps on lights in the room. */
export const [roomPick, setRoomPick] = createSignal<((unit: number) => void) | null>(null);
/** Hears where a spot was dragged to, for these lights. */
export const [roomAim, setRoomAim] = createSignal<{ lights: readonly number[]; end: (at: Point) => void } | null>(null);
/** Lights that the open sentence speaks of, marked in the room. */
export const [spoken, setSpoken] = createSignal<readonly number[] | null>(null);

/** A value that is dragged: shown as the hand has it, sent when it rests. Owned by the editor that calls. */
export function resting<T>(truth: () => T, take: (value: T) => void): { get: Accessor<T>; set: (value: T) => void } {
  const [own, setOwn] = createSignal<{ value: T } | undefined>();
  let timer: ReturnType<typeof setTimeout> | undefined;
  let giveUp: ReturnType<typeof setTimeout> | undefined;
  const flush = () => {
    if (timer === undefined) return;
    clearTimeout(timer);
    timer = undefined;
    const mine = own();
    if (!mine) return;
    take(mine.value);
    giveUp = setTimeout(() => setOwn(undefined), 1500);
  };
  createEffect(on(truth, () => timer === undefined && setOwn(undefined), { defer: true }));
  onCleanup(() => {
    flush();
    clearTimeout(giveUp);
  });
  return {
    get: () => own()?.value ?? truth(),
    set(value) {
      clearTimeout(giveUp);
      clearTimeout(timer);
      setOwn({ value });
      timer = setTimeout(flush, REST_MS);
    },
  };
}
