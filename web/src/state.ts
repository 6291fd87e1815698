// What the page knows: what the machine said last, and the few things that belong to this page alone. Panels read
// signals from here and send intents; nothing here draws.
import { batch, createMemo, createRoot, createSignal } from 'solid-js';
import { createStore, reconcile } from 'solid-js/store';
import { atDoor, worthSending } from './door';
import { folded } from './fold';
import { shared } from './follow';
import { STAGES, type Stage } from './keys';
import type { ColourAnswer, Intent, Knock, LightMoment, LookView, Moment, Now, Scene, SetUpView, ToPage, UnitView } from './wire.gen';

/** Ink, rule and text in warm grey, or in amber alone for dark rooms. */
export type Theme = 'neutral' | 'amber';

/** Sighting in is open, over the rig: at the list of heads, or at one of them. */
export type SightPlace = { unit: number | null };
/** Setting up is open, over the rig: at the lights one after the other, or at the line check. */
export type SetUpPlace = 'lights' | 'check';

/** Text follows the machine at most this often; the picture follows every moment. */
const CALM_MS = 125;

// What the machine said.

export const [scene, setScene] = createSignal<Scene>();
/** What a light makes of the colour that was last asked about. */
export const [colourAnswer, setColourAnswer] = createSignal<ColourAnswer>();
/** Setting up, as the machine has it. */
export const [settingUp, setSettingUp] = createSignal<SetUpView>();
/** Every moment, as it comes. */
export const [moment, setMoment] = createSignal<Moment>();
/** The latest moment, eight times a second, for figures that are read. */
export const [calm, setCalm] = createSignal<Moment>();
/** In touch with the machine. */
export const [up, setUp] = createSignal(false);
/** The machine was in touch at some time since this page was opened. */
export const [met, setMet] = createSignal(false);

const NOTHING_ON: Now = {
  look: null,
  chases: [],
  cue: null,
  next_cue: null,
  fade: 1,
  master: 1,
  groups: [],
  blackout: false,
  stillness: false,
  strobe_stopped: false,
  tempo_bpm: 120,
  beat: 0,
};
const [nowStore, setNow] = createStore<Now>(structuredClone(NOTHING_ON));
/** What is on, part by part. */
export const now: Now = nowStore;

const [takenStore, setTaken] = createStore<Record<number, Date>>({});
/** When each cue was last taken, as far as this page saw it; by place in the list. */
export const taken: Record<number, Date> = takenStore;

// What belongs to this page.

export const [stage, setStageOnly] = createSignal<Stage>(stageOfAddress() ?? homeStage());
/** Where sighting in stands on this page: `null` while it is shut, else the light that is open, if one is. */
export const [sightAt, setSightAtOnly] = createSignal<SightPlace | null>(sightOfAddress());
/** Where setting up stands on this page: `null` while it is shut. */
export const [setUpAt, setSetUpAtOnly] = createSignal<SetUpPlace | null>(setUpOfAddress());
/** Numbers of the picked lights, the one of the slip last. */
export const [picked, setPicked] = createSignal<number[]>(lightOfAddress());
/** What the column shows instead of the stage: the list of keys, what the show has been, the music, a scored track, or the stage words of a phone. */
export const [over, setOver] = createSignal<'keys' | 'history' | 'music' | 'score' | 'stages' | null>(null);
/** The open word of the slip. */
export const [openWord, setOpenWord] = createSignal<'colour' | 'level' | 'where' | 'keep' | null>(null);
/** Group masters, where they do not all have room, are unfolded. */
export const [groupsOpen, setGroupsOpen] = createSignal(false);
export const [theme, setThemeOnly] = createSignal<Theme>(remembered('theme') === 'amber' ? 'amber' : 'neutral');
/** Single letters command (they can be switched off, for those whose keyboard types by itself). */
export const [letters, setLettersOnly] = createSignal(remembered('letters') !== 'off');

const derived = createRoot(() => {
  const unitsByNumber = createMemo(() => new Map(scene()?.units.map((unit) => [unit.number, unit])));
  const looksByName = createMemo(() => new Map(scene()?.looks.map((look) => [look.name, look])));
  const lights = createMemo(() => new Map(calm()?.lights.map((light) => [light.unit, light])));
  // At every moment: the next key may let go of what was taken in hand just now.
  const held = createMemo(
    () => moment()?.lights.filter((light) => light.held).map((light) => light.unit) ?? [],
    [],
    { equals: (a, b) => a.join() === b.join() },
  );
  return { unitsByNumber, looksByName, lights, held };
});

/** A light as it stands still. */
export const unitOf = (number: number): UnitView | undefined => derived.unitsByNumber().get(number);
/** A light as it is now. */
export const lightOf = (number: number): LightMoment | undefined => derived.lights().get(number);
/** A look by its name. */
export const lookOf = (name: string): LookView | undefined => derived.looksByName().get(name);
/** Numbers of the lights held by hand. */
export const held: () => number[] = derived.held;

/** The light that the slip speaks of. */
export const slipUnit = (): UnitView | undefined => {
  const number = picked().at(-1);
  return number === undefined ? undefined : unitOf(number);
};

/** The page's address at each place of setting up. */
const SET_UP: Record<SetUpPlace, string> = { lights: '#set-up', check: '#set-up-check' };

// From the machine.

let calmAt = -Infinity;
let framesAt = -Infinity;
let frames = 0;

/** Takes in one message. */
export function receive(message: Exclude<ToPage, { type: 'said' | 'history' | 'what_if' }>): void {
  if (atDoor(message)) {
    // Who is not admitted sees nothing, not even what was there before.
    if (message.type === 'sent_away' || (message.type === 'pair' && message.forget)) forgetShow();
    if (message.type === 'admitted' && message.token) setStage('tonight');
    return;
  }
  if (message.type === 'scene') return takeScene(message);
  if (message.type === 'set_up') {
    setSettingUp(message);
    return;
  }
  if (message.type === 'colour') {
    setColourAnswer(message);
    return;
  }
  // Of another show or rig than the scene: the one or the other is just on its way.
  if (scene()?.generation !== message.generation) return;
  frames += 1;
  const at = performance.now();
  batch(() => {
    noteCue(message);
    setMoment(message);
    setNow(reconcile(message.now, { key: 'name' }));
    if (at - calmAt >= CALM_MS) {
      calmAt = at;
      setCalm(message);
    }
  });
  if (at - framesAt >= 1000) {
    framesAt = at;
    document.body.dataset.frames = String(frames);
  }
}

function forgetShow(): void {
  batch(() => {
    setScene(undefined);
    setSettingUp(undefined);
    setMoment(undefined);
    setCalm(undefined);
    setPicked([]);
  });
}

/** Notes that touch was gained or lost. */
export function setTouch(inTouch: boolean): void {
  batch(() => {
    setUp(inTouch);
    if (inTouch) setMet(true);
  });
  document.body.dataset.link = inTouch ? 'up' : 'down';
}

function takeScene(sent: Scene): void {
  // What did not change stays the very same, so that only what did is drawn anew.
  const fresh = shared(scene(), sent);
  const other = scene()?.show !== fresh.show;
  const back = focusNow();
  taking = true;
  batch(() => {
    setScene(fresh);
    if (other) setTaken(reconcile({}));
    const numbers = new Set(fresh.units.map((unit) => unit.number));
    setPicked((before) => before.filter((number) => numbers.has(number)));
  });
  back();
  taking = false;
}

let taking = false;
/** A scene is being taken: what loses the focus now was moved, and not left by anybody. */
export const takingScene = () => taking;

/** What has the focus loses it when its row goes to another place; the answer gives it back. */
function focusNow(): () => void {
  const active = document.activeElement;
  if (!(active instanceof HTMLElement) || active === document.body) return () => undefined;
  const input = active instanceof HTMLInputElement && active.type === 'text' ? active : undefined;
  const [from, to] = [input?.selectionStart ?? null, input?.selectionEnd ?? null];
  return () => {
    if (document.activeElement === active || document.activeElement !== document.body || !active.isConnected) return;
    active.focus({ preventScroll: true });
    if (from !== null) input?.setSelectionRange(from, to);
  };
}

/** A cue counts as taken now only if this page saw the change; after a gap the hour is not known. */
function noteCue(fresh: Moment): void {
  const before = moment();
  const seen = before && fresh.time_s - before.time_s < 2 && fresh.time_s >= before.time_s;
  const cue = fresh.now.cue;
  if (seen && cue !== null && before.now.cue !== cue) setTaken(cue, new Date());
}

// To the machine.

let sender: (intent: Intent) => boolean = () => false;
let knocker: (knock: Knock) => boolean = () => false;

/** Says how intents and pairing codes leave. */
export function sendBy(way: (intent: Intent) => boolean, knocking: (knock: Knock) => boolean): void {
  sender = way;
  knocker = knocking;
}

/** Sends a pairing code. */
export const knock = (by: Knock): boolean => knocker(by);

/** Sends an intent at once. Without touch it is dropped, and the page is dimmed to say so. */
export function send(intent: Intent): boolean {
  return worthSending(intent) && sender(intent);
}

// Of the page.

/** Turns to a stage, and makes it the page's address so that the browser's own back works. */
export function setStage(next: Stage): void {
  turn(next, null, null);
}

/** Opens sighting in, over the rig: the list of heads, or one of them; `null` shuts it. */
export function setSight(place: SightPlace | null): void {
  turn('rig', place, null);
}

/** Opens setting up, over the rig; `null` shuts it. */
export function setSetUp(place: SetUpPlace | null): void {
  turn('rig', null, place);
}

function turn(next: Stage, place: SightPlace | null, setUp: SetUpPlace | null): void {
  batch(() => {
    setStageOnly(next);
    setSightAtOnly(place);
    setSetUpAtOnly(setUp);
    setOver(null);
    setOpenWord(null);
  });
  const address = setUp ? SET_UP[setUp] : place === null ? `#${next}` : place.unit === null ? '#sight' : `#sight-${place.unit}`;
  if (location.hash !== address) history.pushState(null, '', address);
}

addEventListener('popstate', () => {
  const place = sightOfAddress();
  const setUp = setUpOfAddress();
  const next = stageOfAddress() ?? homeStage();
  batch(() => {
    setStageOnly(next);
    setSightAtOnly(place);
    setSetUpAtOnly(setUp);
    setOver(null);
  });
});

/** Picks lights together, instead of those picked before. */
export function pickAll(numbers: readonly number[]): void {
  batch(() => {
    setOpenWord(null);
    setPicked([...numbers]);
  });
}

/** Picks a light, alone or with those picked before; `null` puts all down. */
export function pick(number: number | null, additive = false): void {
  batch(() => {
    setOpenWord(null);
    if (number === null) return setPicked([]);
    setPicked((before) => {
      if (!additive) return [number];
      const without = before.filter((other) => other !== number);
      return without.length < before.length ? without : [...before, number];
    });
  });
}

export function setTheme(next: Theme): void {
  setThemeOnly(next);
  remember('theme', next);
}

export function setLetters(on: boolean): void {
  setLettersOnly(on);
  remember('letters', on ? 'on' : 'off');
}

function sightOfAddress(): SightPlace | null {
  const found = /^#sight(?:-(\d+))?$/.exec(location.hash);
  return found && { unit: found[1] === undefined ? null : Number(found[1]) };
}

function setUpOfAddress(): SetUpPlace | null {
  if (location.hash === '#set-up') return 'lights';
  return location.hash === '#set-up-check' ? 'check' : null;
}

/** The light that a sticker's code leads to: `#light-4`. */
function lightOfAddress(): number[] {
  const found = /^#light-(\d{1,5})$/.exec(location.hash);
  return found ? [Number(found[1])] : [];
}

function stageOfAddress(): Stage | undefined {
  if (sightOfAddress() || setUpOfAddress()) return 'rig';
  if (lightOfAddress().length > 0) return 'room';
  return STAGES.find((name) => location.hash === `#${name}`);
}

function homeStage(): Stage {
  return folded() ? 'tonight' : 'room';
}

// A browser may refuse its storage (private windows); then nothing is remembered.
/** What this browser keeps under a name. */
export function remembered(name: string): string | null {
  try {
    return localStorage.getItem(`lanthorn.${name}`);
  } catch {
    return null;
  }
}

/** Keeps something under a name; `null` forgets it. */
export function remember(name: string, value: string | null): void {
  try {
    if (value === null) localStorage.removeItem(`lanthorn.${name}`);
    else localStorage.setItem(`lanthorn.${name}`, value);
  } catch {
    // Not remembered, then.
  }
}
