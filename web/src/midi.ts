// What a MIDI controller says, and what each of its controls is bound to. Pure: bytes and tables in, tables and words out.
// Bytes are those of the MIDI 1.0 Detailed Specification, table of status bytes: note off 8n, note on 9n, control change
// Bn, where n is the channel less one; data bytes are 0 to 127. Note on with velocity 0 is note off.
import { keptUnder } from './kept';

/** One message that may mean something. `channel` is 1 to 16; `number` is the note's or the control's; `value` 0 to 127. */
export type Message = { kind: 'on' | 'off' | 'control'; channel: number; number: number; value: number };

/** From this number on a control change is a channel mode message, which no fader sends. */
const CHANNEL_MODE = 120;
/** A switch that sends control changes is on from this value (the specification's 0 to 63 off, 64 to 127 on). */
export const SWITCH_ON = 64;
const MOST = 127;

/** Reads a message; `null` for what is nothing to us: clock, active sensing, other kinds, broken bytes. */
export function readMessage(bytes: ArrayLike<number>): Message | null {
  const [status = 0, number = -1, value = -1] = Array.from(bytes);
  if (bytes.length !== 3 || !isData(number) || !isData(value)) return null;
  const channel = (status & 0x0f) + 1;
  switch (status & 0xf0) {
    case 0x80:
      return { kind: 'off', channel, number, value };
    case 0x90:
      return { kind: value > 0 ? 'on' : 'off', channel, number, value };
    case 0xb0:
      return number < CHANNEL_MODE ? { kind: 'control', channel, number, value } : null;
    default:
      return null;
  }
}

const isData = (byte: number) => Number.isInteger(byte) && byte >= 0 && byte <= MOST;

/** Which control sent a message: 'note 1 60', 'control 1 7' (channel, number). */
export const controlOf = (message: Message): string => `${message.kind === 'control' ? 'control' : 'note'} ${message.channel} ${message.number}`;

/** A control in words: 'note 60 on channel 1'. */
export function sayControl(control: string): string {
  const [kind, channel, number] = control.split(' ');
  return `${kind} ${number} on channel ${channel}`;
}

/** A level from 0 to 1. */
export const levelOf = (value: number): number => value / MOST;

/** Tells presses of one controller: a note that comes on, or a switch that passes the middle upwards. */
export class Presses {
  readonly #on = new Set<string>();

  /** Whether this message is a press. */
  hear(message: Message): boolean {
    if (message.kind === 'on') return true;
    if (message.kind === 'off') return false;
    const control = controlOf(message);
    const was = this.#on.has(control);
    if (message.value < SWITCH_ON) this.#on.delete(control);
    else this.#on.add(control);
    return message.value >= SWITCH_ON && !was;
  }
}

/** So near a fader takes hold without passing: one and a half of its steps. */
const NEAR = 1.5 / MOST;

/** Soft take-over: a fader that lies elsewhere takes hold only once it meets or passes the present level. */
export class TakeOver {
  #at: number | null = null;
  #holds = false;

  /** The fader moved to `level` while `present` stands; gives the level to set, or `null` while it has no hold. */
  move(level: number, present: number): number | null {
    // What it set last still stands, unless a hand or another page moved it meanwhile.
    if (this.#holds && this.#at !== null && Math.abs(present - this.#at) > NEAR) this.#holds = false;
    const passed = this.#at !== null && (this.#at - present) * (level - present) <= 0;
    this.#holds ||= passed || Math.abs(level - present) <= NEAR;
    this.#at = level;
    return this.#holds ? level : null;
  }

  /** Where the fader lies, as far as is known. */
  get at(): number | null {
    return this.#at;
  }
}

/** What the controls of each controller do, by the controller's name, then by control: a target's id. */
export type Controllers = ReadonlyMap<string, ReadonlyMap<string, string>>;

/** The target that takes levels; all others take presses. */
export const MASTER = 'master';

/** Binds a control, and only it, to a target. Gives what the control did before, if that was another. */
export function learn(all: Controllers, name: string, control: string, target: string): { all: Controllers; before: string | null } {
  const mine = all.get(name) ?? new Map<string, string>();
  const before = mine.get(control);
  const kept = [...mine].filter(([one, what]) => one !== control && what !== target);
  return { all: new Map([...all, [name, new Map([...kept, [control, target]])]]), before: before === target ? null : (before ?? null) };
}

/** Takes a target from every control of a controller. */
export function unlearn(all: Controllers, name: string, target: string): Controllers {
  return new Map([...all, [name, new Map([...(all.get(name) ?? [])].filter(([, what]) => what !== target))]]);
}

/** The control that does something, on one controller. */
export function controlFor(all: Controllers, name: string, target: string): string | undefined {
  return [...(all.get(name) ?? [])].find(([, what]) => what === target)?.[0];
}

/** Why a message cannot be bound to a target, as a sentence; `null` when it can; `''` when it says nothing to learn from. */
export function whyNotLearn(message: Message, target: string): string | null {
  if (message.kind === 'off') return '';
  if (target === MASTER && message.kind !== 'control') return 'The master needs a fader or a knob; that was a pad or a key.';
  return null;
}

const VERSION = 1;

/** As it is kept. */
export function writeControllers(all: Controllers): string {
  return JSON.stringify({ version: VERSION, controllers: [...all].map(([name, controls]) => ({ name, controls: [...controls] })) });
}

/** Reads what was kept; what cannot be read is left out, with a sentence. */
export function readControllers(text: string | null): { all: Controllers; wrong: string } {
  const all = new Map<string, Map<string, string>>();
  if (text === null) return { all, wrong: '' };
  const kept = keptUnder(text, VERSION, 'controllers');
  if (!Array.isArray(kept)) return { all, wrong: 'The controls kept in this browser could not be read; none is bound.' };
  let broken = 0;
  for (const entry of kept as unknown[]) {
    const { name, controls } = (typeof entry === 'object' && entry !== null ? entry : {}) as { name?: unknown; controls?: unknown };
    if (typeof name !== 'string' || !Array.isArray(controls)) {
      broken += 1;
      continue;
    }
    const good = controls.filter(isBinding);
    broken += controls.length - good.length;
    all.set(name, new Map(good));
  }
  return { all, wrong: broken === 0 ? '' : `${broken === 1 ? 'A control' : `${broken} controls`} kept in this browser could not be read; the others stand.` };
}

function isBinding(pair: unknown): pair is [string, string] {
  if (!Array.isArray(pair) || pair.length !== 2 || typeof pair[0] !== 'string' || typeof pair[1] !== 'string') return false;
  const found = /^(note|control) (\d{1,2}) (\d{1,3})$/.exec(pair[0]);
  const [channel, number] = [Number(found?.[2]), Number(found?.[3])];
  const fits = found !== null && channel >= 1 && channel <= 16 && number <= (found[1] === 'note' ? MOST : CHANNEL_MODE - 1);
  return fits && pair[1] !== '' && (pair[1] !== MASTER || found[1] === 'control');
}

/** The same controls, after what was a target's name is another's: 'look Supper' to 'look Dinner'. */
export function retarget(all: Controllers, from: string, to: string): Controllers {
  const moved = (controls: ReadonlyMap<string, string>) => new Map([...controls].map(([control, target]) => [control, target === from ? to : target]));
  return new Map([...all].map(([name, controls]) => [name, moved(controls)]));
}
