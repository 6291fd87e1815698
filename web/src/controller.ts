// A MIDI controller beside the page, through the browser's own Web MIDI: asked for by a press, and never before. What it
// asks for goes the way of keys and fingers, so that it may do no more than they may.
import { batch, createSignal } from 'solid-js';
import { master, putOn, runChase, running, setMaster } from './act';
import { actionOf } from './bindings';
import { doAction } from './listen';
import {
  controlFor, controlOf, learn, levelOf, MASTER, Presses, readControllers, readMessage, retarget, sayControl, TakeOver, unlearn, whyNotLearn, writeControllers,
  type Controllers, type Message,
} from './midi';
import { remember, remembered, scene } from './state';
import { capital, list, percent } from './words';

const KEPT = 'midi';
const kept = readControllers(remembered(KEPT));

/** How far listening has come. */
export type Listening = 'off' | 'asking' | 'on';
export const [listening, setListening] = createSignal<Listening>('off');
/** Why nothing is listened to, or what was wrong with what this browser kept. */
export const [midiWrong, setMidiWrong] = createSignal(kept.wrong);
/** Controllers seen since listening began, and whether each is there. */
export const [controllers, setControllers] = createSignal<readonly { name: string; there: boolean }[]>([]);
/** The target that the next control is bound to. */
const [learning, setLearningOnly] = createSignal<string | null>(null);
export { learning };
/** What came of the last learning. */
export const [learnt, setLearnt] = createSignal('');
const [all, setAll] = createSignal<Controllers>(kept.all);
/** A fader that waits for the level to be passed: where it lies, and on which controller. */
export const [waiting, setWaiting] = createSignal<{ name: string; at: number } | null>(null);

type Hearing = { presses: Presses; fader: TakeOver };
const hearings = new Map<string, Hearing>();

/** Waits for the control of a target; `null` waits for none. */
export function setLearning(target: string | null): void {
  batch(() => {
    setLearningOnly(target);
    setLearnt('');
  });
}

/** What a target is called. */
export function sayTarget(target: string): string {
  if (target === MASTER) return 'Master';
  return capital(actionOf(target)?.does ?? target);
}

/** Where a target is bound, in words; empty when nowhere. */
export function boundWords(target: string): string {
  const several = all().size > 1;
  const said = [...all().keys()].flatMap((name) => {
    const control = controlFor(all(), name, target);
    return control ? [several ? `${sayControl(control)} (${name})` : sayControl(control)] : [];
  });
  return list(said);
}

/** Takes a target from every controller. */
export function forget(target: string): void {
  keep([...all().keys()].reduce((left, name) => unlearn(left, name, target), all()));
  setLearning(null);
}

/** Before a name changes: once it has, whatever control was bound to it is bound to the new one. */
export function renamed(kind: 'look' | 'chase', from: string, to: string, answer?: (done: boolean) => void): (done: boolean) => void {
  return (done) => {
    if (done) keep(retarget(all(), `${kind} ${from}`, `${kind} ${to.trim()}`));
    answer?.(done);
  };
}

function keep(next: Controllers): void {
  setAll(next);
  setMidiWrong('');
  remember(KEPT, writeControllers(next));
}

/** Asks the browser for MIDI, and listens. */
export async function listenToMidi(): Promise<void> {
  if (listening() !== 'off') return;
  if (typeof navigator.requestMIDIAccess !== 'function') {
    const why = isSecureContext ? 'This browser has no Web MIDI.' : 'Browsers give MIDI only to a page opened on the machine itself (as localhost or 127.0.0.1).';
    return void setMidiWrong(why);
  }
  setListening('asking');
  if (!(await alone())) return stop('Another page of this browser listens to the controller; everything would be done twice.');
  try {
    const access = await navigator.requestMIDIAccess({ sysex: false });
    access.onstatechange = () => look(access);
    batch(() => {
      setListening('on');
      setMidiWrong(kept.wrong);
      look(access);
    });
  } catch (error) {
    const refused = error instanceof DOMException && (error.name === 'SecurityError' || error.name === 'NotAllowedError');
    release?.();
    stop(refused ? 'The browser was not allowed to listen to MIDI; its settings for this page can allow it.' : 'The browser found no way to MIDI on this computer.');
  }
}

function stop(why: string): void {
  batch(() => {
    setListening('off');
    setMidiWrong(why);
  });
}

let release: (() => void) | undefined;

/** One page of a browser listens, as long as it stands; `true` when that is this one. */
function alone(): Promise<boolean> {
  if (!('locks' in navigator)) return Promise.resolve(true);
  return new Promise((say) => {
    const asked = navigator.locks.request('lanthorn.midi', { ifAvailable: true }, (lock) => {
      say(lock !== null);
      return lock && new Promise<void>((done) => (release = done));
    });
    asked.catch(() => say(true));
  });
}

/** Hears every controller that is there; those that went are told, and heard again once they come back. */
function look(access: MIDIAccess): void {
  const seen = new Map(controllers().map(({ name }) => [name, false]));
  for (const input of access.inputs.values()) {
    const name = input.name || 'A controller without a name';
    const there = input.state === 'connected';
    seen.set(name, there || (seen.get(name) ?? false));
    input.onmidimessage = there ? (event) => event.data && hear(name, event.data, event.timeStamp) : null;
  }
  for (const [name, there] of seen) {
    // Plugged in again, its fader may lie anywhere.
    if (!there) hearings.delete(name);
    if (!there && waiting()?.name === name) setWaiting(null);
  }
  setControllers([...seen].map(([name, there]) => ({ name, there })));
}

/** System real time messages that tell a clock: F8, FA, FB, FC (MIDI 1.0 Detailed Specification). */
const CLOCK: ReadonlySet<number> = new Set([0xf8, 0xfa, 0xfb, 0xfc]);
let clockHearer: (name: string, byte: number, at: number) => void = () => undefined;

/** Says who hears the clocks of what is plugged in: who sent it, its byte, and when it came, milliseconds of the page's clock. */
export function hearClock(hearer: (name: string, byte: number, at: number) => void): void {
  clockHearer = hearer;
}

function hear(name: string, bytes: Uint8Array, at: number): void {
  const [byte] = bytes;
  if (bytes.length === 1 && byte !== undefined && CLOCK.has(byte)) return clockHearer(name, byte, at);
  const message = readMessage(bytes);
  if (!message) return;
  let hearing = hearings.get(name);
  if (!hearing) hearings.set(name, (hearing = { presses: new Presses(), fader: new TakeOver() }));
  const pressed = hearing.presses.hear(message);
  const target = learning();
  if (target !== null) return bind(name, message, target);
  const what = all().get(name)?.get(controlOf(message));
  if (what === undefined) return;
  if (what === MASTER) return move(name, hearing.fader, message);
  if (pressed) press(what);
}

function bind(name: string, message: Message, target: string): void {
  const why = whyNotLearn(message, target);
  if (why !== null) return void (why && setLearnt(why));
  const control = controlOf(message);
  const { all: next, before } = learn(all(), name, control, target);
  batch(() => {
    keep(next);
    setLearningOnly(null);
    setLearnt(`${sayTarget(target)} is ${sayControl(control)} of ${name}.${before ? ` It was ${sayTarget(before)} before, which has no control now.` : ''}`);
  });
  if (target === MASTER) hearings.set(name, { presses: hearings.get(name)?.presses ?? new Presses(), fader: new TakeOver() });
}

function move(name: string, fader: TakeOver, message: Message): void {
  const level = fader.move(levelOf(message.value), master());
  if (level !== null) setMaster(level);
  setWaiting(level === null ? { name, at: fader.at ?? 0 } : null);
}

/** What a waiting fader is told, beside the master's level. */
export function waitingWords(): string {
  const it = waiting();
  if (!it) return '';
  return `The fader is at ${percent(it.at)}, the master at ${percent(master())}: move it past ${percent(master())} and it takes hold.`;
}

function press(target: string): void {
  const [kind, name] = [target.slice(0, target.indexOf(' ')), target.slice(target.indexOf(' ') + 1)];
  if (actionOf(target)) doAction(target);
  else if (kind === 'look' && scene()?.looks.some((look) => look.name === name)) putOn(name);
  else if (kind === 'chase' && scene()?.chases.some((chase) => chase.name === name)) runChase(name, !running(name));
}
