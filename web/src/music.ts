// The music: what the page asks of it, and this page's own microphone or MIDI clock as its source.
import { batch, createEffect, createRoot, createSignal } from 'solid-js';
import { hearClock, listening, listenToMidi, midiWrong } from './controller';
import { firstKnock } from './door';
import type { FromWorker, ToWorker } from './ears.worker';
import Worker from './ears.worker?worker';
import worklet from './ears.worklet?worker&url';
import { calm, moment, now, send } from './state';
import type { EarsHello, MusicAsk, MusicNow } from './wire.gen';

/** How much Earlier and Later move steps, milliseconds. */
export const EARLIER_MS = 10;

const ask = (what: MusicAsk) => send({ type: 'music', ask: what });

/** The music as the machine has it, eight times a second. */
export const music = (): MusicNow | undefined => calm()?.music;

export const follow = (on: boolean) => ask({ do: 'follow', on });
export const thisIsOne = () => ask({ do: 'one' });
export const earlier = (ms: number) => ask({ do: 'earlier', ms });
export const setRange = (slowest: number, fastest: number) => ask({ do: 'range', slowest, fastest });
/** Lets the music pick looks, or leaves them as they are. */
export const pickOrLeave = () => ask({ do: 'pick', on: moment()?.music.picks === false });
/** Half or double: of the music's tempo while it is followed, else of the one that is set. */
export const timesTempo = (times: number) => ask({ do: 'times', times });
/** Holds the tempo as it is, or follows the music again. */
export const holdOrFollow = () => follow(moment()?.music.follow === false);

/** Listens to nothing. */
export function listenToNothing(): void {
  stop('');
  ask({ do: 'off' });
}

// This page's sound.

/** An input of this computer. */
export type Input = { id: string; name: string };
/** The inputs that the browser tells of; it names them only once one was allowed. */
export const [inputs, setInputs] = createSignal<readonly Input[]>([]);
/** How far listening here has come. */
export const [hears, setHears] = createSignal<'no' | 'asking' | 'yes'>('no');
/** The input that is listened to here. */
export const [input, setInput] = createSignal<string | null>(null);
/** Why nothing is listened to here. */
export const [wrong, setWrong] = createSignal('');

/** Why this page can have no sound, in plain words; empty when it can. */
export function whyNoSound(): string {
  if (!isSecureContext) {
    return 'Browsers give a microphone only to a page on the machine itself: open this one there, as localhost or 127.0.0.1. From here the music can be steered.';
  }
  return typeof navigator.mediaDevices?.getUserMedia === 'function' ? '' : 'This browser gives no page a microphone.';
}

type Session = { context: AudioContext; stream: MediaStream; worker: InstanceType<typeof Worker> };
let session: Session | null = null;

/** Listens to an input of this computer, or to the usual one. */
export async function listenHere(id: string | null): Promise<void> {
  if (hears() === 'asking') return;
  stop('');
  const why = whyNoSound();
  if (why) return void setWrong(why);
  setHears('asking');
  try {
    // What would make speech clearer would make music unrecognisable.
    const plain = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };
    const stream = await navigator.mediaDevices.getUserMedia({ audio: { ...plain, ...(id === null ? {} : { deviceId: { exact: id } }) } });
    session = await begin(stream);
    const track = stream.getAudioTracks()[0];
    track?.addEventListener('ended', () => stop('The input was taken away.'));
    setInput(track?.getSettings().deviceId ?? id);
    await listInputs();
  } catch (error) {
    stop(sayWrong(error));
  }
}

function sayWrong(error: unknown): string {
  const name = error instanceof DOMException ? error.name : '';
  if (name === 'NotAllowedError' || name === 'SecurityError') return 'The browser was not allowed to listen; its settings for this page can allow it.';
  if (name === 'NotFoundError' || name === 'OverconstrainedError') return 'This computer has no such input for sound.';
  if (name === 'NotReadableError') return 'Another program holds the input.';
  return 'The input cannot be listened to.';
}

async function begin(stream: MediaStream): Promise<Session> {
  const context = new AudioContext({ latencyHint: 'interactive' });
  const worker = new Worker();
  const made: Session = { context, stream, worker };
  const { port1, port2 } = new MessageChannel();
  try {
    await context.audioWorklet.addModule(worklet);
    await context.resume();
    const node = new AudioWorkletNode(context, 'lanthorn-ears', { numberOfInputs: 1, numberOfOutputs: 0 });
    node.port.postMessage(port1, [port1]);
    context.createMediaStreamSource(stream).connect(node);
  } catch (error) {
    shut(made);
    throw error;
  }
  worker.onmessage = ({ data }: MessageEvent<FromWorker>) => {
    if (session !== made) return;
    if ('number' in data) setHears('yes');
    else stop(data.ended || 'This page has lost touch with the machine.');
  };
  const track = stream.getAudioTracks()[0];
  const settings: MediaTrackSettings & { latency?: number } = track?.getSettings() ?? {};
  const hello: EarsHello = { name: track?.label || 'a microphone', rate: context.sampleRate, delay_ms: (settings.latency ?? 0) * 1000 };
  const address = `${location.protocol === 'https:' ? 'wss' : 'ws'}://${location.host}/ears`;
  worker.postMessage({ address, knock: firstKnock(), hello, port: port2 } satisfies ToWorker, [port2]);
  return made;
}

function shut({ context, stream, worker }: Session): void {
  stream.getTracks().forEach((track) => track.stop());
  worker.terminate();
  void context.close();
}

/** Ends listening here. */
function stop(why: string): void {
  const was = session;
  session = null;
  if (was) shut(was);
  batch(() => {
    setHears('no');
    setInput(null);
    setWrong(why);
  });
}

async function listInputs(): Promise<void> {
  const all = await navigator.mediaDevices.enumerateDevices();
  const named = all.filter((device) => device.kind === 'audioinput' && device.label && device.deviceId !== 'default' && device.deviceId !== 'communications');
  setInputs(named.map((device) => ({ id: device.deviceId, name: device.label })));
}

// A MIDI clock that this page hears.

/** Ticks leave together, so many of them. */
const TICKS = 3;
const TICK = 0xf8;

/** A clock is waited for, or followed; the name of its sender once there is one. */
export const [midiClock, setMidiClock] = createSignal<{ name: string | null } | null>(null);
/** What keeps a clock from being heard. */
export const clockWrong = (): string => (midiClock() && listening() !== 'on' ? midiWrong() : '');
let ticks: [number, number][] = [];

/** Waits for a MIDI clock, and follows the first that comes. */
export async function listenToClock(): Promise<void> {
  stop('');
  setMidiClock({ name: null });
  await listenToMidi();
}

hearClock((name, byte, at) => {
  const wanted = midiClock();
  if (!wanted || (wanted.name !== null && wanted.name !== name)) return;
  if (wanted.name === null) {
    ticks = [];
    if (!ask({ do: 'midi_clock', name })) return;
    setMidiClock({ name });
  }
  ticks.push([byte, at]);
  if (byte === TICK && ticks.length < TICKS) return;
  ask({ do: 'midi_ticks', ticks });
  ticks = [];
});

// Another source has taken the place of this page's: nothing of it is sent any more.
createRoot(() => {
  let mine = false;
  createEffect(() => {
    const source = music()?.source;
    const clock = midiClock();
    if (!clock?.name) return void (mine = false);
    if (source?.brings === 'midi' && source.name === clock.name) mine = true;
    else if (mine) setMidiClock(null);
  });
});

/** The place in the bar now, from 1, and how many beats it has: for words and strokes. */
export function placeInBar(): { place: number; of: number; at: number } {
  const bar = music()?.bar_beats ?? 4;
  const at = ((now.beat % bar) + bar) % bar;
  return { place: Math.floor(at) + 1, of: Math.max(1, Math.round(bar)), at: at / bar };
}
