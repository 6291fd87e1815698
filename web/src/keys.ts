// What each key means. Pure: a key press and the circumstances in, a command out.
import type { NudgeStep } from './wire.gen';

/** The six stages, in the order of their words and of Alt-1 to Alt-6. */
export const STAGES = ['room', 'rig', 'looks', 'chases', 'cues', 'tonight'] as const;
/** One stage. */
export type Stage = (typeof STAGES)[number];

/** What a key asks for. */
export type Command =
  | { do: 'go' | 'back' | 'escape' | 'tap' | 'half' | 'double' | 'stillness' | 'strobe' | 'blackout' | 'mark' | 'way' | 'keys' }
  /** Changes to the show: take back, do again; keep what is lit; move what is open. */
  | { do: 'undo' | 'redo' | 'keep' | 'earlier' | 'later' }
  | { do: 'digit'; digit: number }
  | { do: 'stage'; stage: Stage }
  | { do: 'nudge'; x: number; y: number }
  /** While a light is sighted in: it is on, take the last sight back, next light. */
  | { do: 'sight'; what: 'on' | 'undo' | 'next' }
  /** To the right and up on the picture; `step` is `null` for the one chosen on the page. */
  | { do: 'sight_nudge'; x: number; y: number; step: NudgeStep | null };

/** A key press, as much of it as matters (a `KeyboardEvent` fits). */
export type Press = {
  key: string;
  code: string;
  altKey: boolean;
  ctrlKey: boolean;
  metaKey: boolean;
  shiftKey: boolean;
  repeat: boolean;
};

/** Where the press falls. */
export type Circumstances = {
  stage: Stage;
  /** In a field where letters are text. */
  typing: boolean;
  /** On a control that takes Space itself. */
  onControl: boolean;
  /** A light that can follow is picked, so that arrows move its spot. */
  aiming: boolean;
  /** Single letters and digits may command (they can be switched off). */
  letters: boolean;
  /** Sighting in is open; `aim` while a spot is brought onto a mark. */
  sighting?: 'open' | 'aim' | null;
};

/** How far an arrow moves a spot, metres; with Shift the finer step. */
export const NUDGE_M = 0.1;
export const FINE_NUDGE_M = 0.01;

const LETTERS: Record<string, Command['do'] & ('tap' | 'keep' | 'half' | 'double' | 'stillness' | 'strobe' | 'blackout' | 'mark' | 'way' | 'keys')> = {
  t: 'tap',
  '[': 'half',
  ']': 'double',
  s: 'stillness',
  f: 'strobe',
  b: 'blackout',
  m: 'mark',
  v: 'way',
  k: 'keep',
  '?': 'keys',
};

const ARROWS: Record<string, readonly [number, number]> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

/** The command of a key press, or `null` when the key means nothing here. */
export function command(press: Press, where: Circumstances): Command | null {
  const stage = stageKey(press);
  if (stage) return { do: 'stage', stage };
  const made = makingKey(press, where);
  if (made) return made;
  const sight = sightKey(press, where);
  if (sight) return sight;
  // Brackets need AltGr (reported as Ctrl with Alt) on many keyboards.
  const bracket = press.key === '[' || press.key === ']';
  if ((press.ctrlKey || press.metaKey || press.altKey) && !bracket) return null;
  if (press.key === 'Escape') return { do: 'escape' };
  if (where.typing) return null;
  return liveKey(press, where) ?? letterKey(press, where);
}

function stageKey(press: Press): Stage | undefined {
  if (!press.altKey || press.ctrlKey || press.metaKey) return undefined;
  // The code, not the key: with Alt held some keyboards give a sign instead of the digit.
  const digit = /^Digit([1-6])$/.exec(press.code)?.[1];
  return digit ? STAGES[Number(digit) - 1] : undefined;
}

function makingKey(press: Press, where: Circumstances): Command | null {
  // In a field both belong to what is typed there.
  if (where.typing || where.sighting) return null;
  if ((press.ctrlKey || press.metaKey) && !press.altKey) {
    const letter = press.key.toLowerCase();
    if (letter === 'z') return { do: press.shiftKey ? 'redo' : 'undo' };
    return letter === 'y' && !press.shiftKey ? { do: 'redo' } : null;
  }
  const making = where.stage === 'looks' || where.stage === 'chases' || where.stage === 'cues';
  if (!making || !press.altKey || press.ctrlKey || press.metaKey) return null;
  return press.key === 'ArrowUp' ? { do: 'earlier' } : press.key === 'ArrowDown' ? { do: 'later' } : null;
}

function sightKey(press: Press, where: Circumstances): Command | null {
  if (!where.sighting || where.typing || press.ctrlKey || press.metaKey) return null;
  const arrow = ARROWS[press.key];
  if (arrow && where.sighting === 'aim') {
    return { do: 'sight_nudge', x: arrow[0], y: arrow[1], step: press.altKey ? 'creep' : press.shiftKey ? 'fine' : null };
  }
  if (press.altKey || press.repeat) return null;
  if (press.key === 'Enter') return where.onControl ? null : { do: 'sight', what: 'on' };
  if (!where.letters) return null;
  const letter = press.key.toLowerCase();
  return letter === 'u' ? { do: 'sight', what: 'undo' } : letter === 'n' ? { do: 'sight', what: 'next' } : null;
}

function liveKey(press: Press, where: Circumstances): Command | null {
  const evening = where.stage === 'room' || where.stage === 'tonight';
  if (press.key === ' ') return evening && !where.onControl && !press.repeat ? { do: 'go' } : null;
  if (press.key === 'Backspace') return evening && !press.repeat ? { do: 'back' } : null;
  const arrow = ARROWS[press.key];
  if (!arrow || !where.aiming || where.sighting) return null;
  const step = press.shiftKey ? FINE_NUDGE_M : NUDGE_M;
  return { do: 'nudge', x: arrow[0] * step, y: arrow[1] * step };
}

function letterKey(press: Press, where: Circumstances): Command | null {
  if (press.repeat || !where.letters) return null;
  if (/^[0-9]$/.test(press.key)) return { do: 'digit', digit: Number(press.key) };
  const name = LETTERS[press.key.toLowerCase()];
  return name ? { do: name } : null;
}

/** Joins digits typed quickly into one number: 1 then 1 is 11. */
export class Digits {
  #typed = '';
  #at = -Infinity;

  /** Adds a digit at a time in milliseconds; gives the light that is meant, or `null` when there is none such. */
  push(digit: number, at: number, exists: (number: number) => boolean): number | null {
    const longer = at - this.#at < QUICK_MS ? this.#typed + digit : '';
    this.#typed = longer && exists(Number(longer)) ? longer : String(digit);
    this.#at = at;
    const number = Number(this.#typed);
    return exists(number) ? number : null;
  }
}

/** Digits closer together than this belong to one number. */
const QUICK_MS = 800;

/** The list that '?' sets on the page. */
export const KEY_LIST: readonly (readonly [keys: string, does: string])[] = [
  ['Space', 'Go (on Room and Tonight)'],
  ['Backspace', 'back to the cue before (on Room and Tonight)'],
  ['0 to 9', 'pick a light by its number; two digits typed quickly are one number'],
  ['arrows', 'move the picked light’s spot 10 cm, with Shift 1 cm'],
  ['M', 'next mark for the picked light'],
  ['V', 'look at the room the next way: evening, plan, front, side'],
  ['Esc', 'close the open word, then what is open; let go of the light, put it down'],
  ['T', 'tap the tempo'],
  ['[ and ]', 'half and double the tempo'],
  ['S', 'stillness on and off'],
  ['F', 'no strobe on and off'],
  ['B', 'blackout on, and back as it was'],
  ['Alt 1 to 6', 'Room, Rig, Looks, Chases, Cues, Tonight'],
  ['K', 'keep what is lit, in a look'],
  ['Ctrl Z', 'undo the last change to the show; with Shift, or Ctrl Y, redo it'],
  ['Alt up, Alt down', 'move the open look, chase or cue one place'],
  ['Enter, in a field', 'take what is typed; Esc puts back what was'],
  ['arrows, on a bar', 'move the light along it 10 cm, with Shift 1 cm'],
  ['Tab, Enter', 'from handle to handle, open or press it'],
  ['arrows, sighting in', 'move the spot that way on the picture; with Shift finely, with Alt by creep'],
  ['Enter, sighting in', 'it is on; then on to the next mark'],
  ['U, N, sighting in', 'take the last sight back; next light'],
  ['?', 'this list, and back'],
];
