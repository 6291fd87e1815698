// What each key means. Pure: a key press and the circumstances in, a command out.
import type { NudgeStep } from './wire.gen';

/** The six stages, in the order of their words and of Alt-1 to Alt-6. */
export const STAGES = ['room', 'rig', 'looks', 'chases', 'cues', 'tonight'] as const;
/** One stage. */
export type Stage = (typeof STAGES)[number];

/** What a key asks for. */
export type Command =
  | { do: 'go' | 'back' | 'escape' | 'tap' | 'half' | 'double' | 'stillness' | 'strobe' | 'blackout' | 'mark' | 'way' | 'keys' }
  /** The music: follow it or hold the tempo, this beat is the first, all steps earlier or later, it picks looks, the panel; play a scored track, or let it stand. */
  | { do: 'music'; what: 'hold' | 'one' | 'earlier' | 'later' | 'pick' | 'panel' | 'play' }
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

/** Where an action is heard: anywhere; on Room and Tonight; while something is made; while a light is sighted in. */
export type Scope = 'anywhere' | 'evening' | 'making' | 'sighting';

/** One thing that a key of one's own choice can do. */
export type Action = {
  /** Stays the same for good: bindings are kept by it. */
  id: string;
  /** What it does, as the list says it. */
  does: string;
  /** The usual keys, as chords; the list shows all of them. */
  usual: readonly string[];
  command: Command;
  scope: Scope;
  /** It may be moved to another key, and never be without one. */
  must?: true;
  /** A held key does it again and again. */
  repeats?: true;
};

/** All of them, in the order of the list. */
export const ACTIONS: readonly Action[] = [
  { id: 'go', does: 'Go (on Room and Tonight)', usual: ['Space'], command: { do: 'go' }, scope: 'evening' },
  { id: 'back', does: 'back to the cue before (on Room and Tonight)', usual: ['Backspace'], command: { do: 'back' }, scope: 'evening' },
  { id: 'stillness', does: 'stillness on and off', usual: ['S'], command: { do: 'stillness' }, scope: 'anywhere', must: true },
  { id: 'strobe', does: 'no strobe on and off', usual: ['F'], command: { do: 'strobe' }, scope: 'anywhere', must: true },
  { id: 'blackout', does: 'blackout on, and back as it was', usual: ['B'], command: { do: 'blackout' }, scope: 'anywhere', must: true },
  { id: 'tap', does: 'tap the tempo', usual: ['T'], command: { do: 'tap' }, scope: 'anywhere' },
  { id: 'half', does: 'half the tempo', usual: ['['], command: { do: 'half' }, scope: 'anywhere' },
  { id: 'double', does: 'double the tempo', usual: [']'], command: { do: 'double' }, scope: 'anywhere' },
  { id: 'music_hold', does: 'music: hold the tempo, and follow again', usual: ['H'], command: { do: 'music', what: 'hold' }, scope: 'anywhere' },
  { id: 'music_one', does: 'music: this is one, the first beat of the bar', usual: ['O'], command: { do: 'music', what: 'one' }, scope: 'anywhere' },
  { id: 'music_earlier', does: 'music: all steps 10 ms earlier', usual: [','], command: { do: 'music', what: 'earlier' }, scope: 'anywhere', repeats: true },
  { id: 'music_later', does: 'music: all steps 10 ms later', usual: ['.'], command: { do: 'music', what: 'later' }, scope: 'anywhere', repeats: true },
  { id: 'music_pick', does: 'music: let it pick looks, and leave them as they are', usual: ['P'], command: { do: 'music', what: 'pick' }, scope: 'anywhere' },
  { id: 'music', does: 'the music, and back', usual: ['J'], command: { do: 'music', what: 'panel' }, scope: 'anywhere' },
  { id: 'score_play', does: 'a scored track: play and pause', usual: ['L'], command: { do: 'music', what: 'play' }, scope: 'anywhere' },
  { id: 'mark', does: 'next mark for the picked light', usual: ['M'], command: { do: 'mark' }, scope: 'anywhere' },
  { id: 'way', does: 'look at the room the next way: evening, plan, front, side', usual: ['V'], command: { do: 'way' }, scope: 'anywhere' },
  ...STAGES.map(
    (stage, at): Action => ({
      id: `stage_${stage}`,
      does: `turn to ${stage.charAt(0).toUpperCase()}${stage.slice(1)}`,
      usual: [`Alt+${at + 1}`],
      command: { do: 'stage', stage },
      scope: 'anywhere',
      repeats: true,
    }),
  ),
  { id: 'keep', does: 'keep what is lit, in a look', usual: ['K'], command: { do: 'keep' }, scope: 'anywhere' },
  { id: 'undo', does: 'undo the last change to the show', usual: ['Ctrl+Z'], command: { do: 'undo' }, scope: 'making', repeats: true },
  { id: 'redo', does: 'redo it', usual: ['Ctrl+Shift+Z', 'Ctrl+Y'], command: { do: 'redo' }, scope: 'making', repeats: true },
  { id: 'earlier', does: 'move the open look, chase or cue one place up', usual: ['Alt+ArrowUp'], command: { do: 'earlier' }, scope: 'making', repeats: true },
  { id: 'later', does: 'move the open look, chase or cue one place down', usual: ['Alt+ArrowDown'], command: { do: 'later' }, scope: 'making', repeats: true },
  { id: 'sight_undo', does: 'sighting in: take the last sight back', usual: ['U'], command: { do: 'sight', what: 'undo' }, scope: 'sighting' },
  { id: 'sight_next', does: 'sighting in: next light', usual: ['N'], command: { do: 'sight', what: 'next' }, scope: 'sighting' },
  { id: 'keys', does: 'this list, and back', usual: ['?'], command: { do: 'keys' }, scope: 'anywhere' },
];

/** Which action each chord asks for. */
export type ByChord = ReadonlyMap<string, Action>;

/** The usual keys of all actions. */
export const USUAL: ByChord = new Map(ACTIONS.flatMap((action) => action.usual.map((chord) => [chord, action] as const)));

const ARROWS: Record<string, readonly [number, number]> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
};

/** Keys that are none by themselves. */
const NO_KEY: ReadonlySet<string> = new Set([
  'Alt', 'AltGraph', 'CapsLock', 'Control', 'Dead', 'Fn', 'FnLock', 'Hyper', 'Meta', 'NumLock', 'Process', 'ScrollLock', 'Shift', 'Super',
  'Symbol', 'SymbolLock', 'Unidentified',
]);

/**
 * A press as a chord: 'B', 'Ctrl+Shift+Z', 'Alt+1', 'Space', 'F7', '?'. Letters are large. Shift is told with letters and named
 * keys; in other signs it is in the sign itself. Ctrl and the command key are one. `null` when no key was pressed yet.
 */
export function chordOf(press: Press): string | null {
  if (NO_KEY.has(press.key) || press.key === '') return null;
  let ctrl = press.ctrlKey || press.metaKey;
  let alt = press.altKey;
  let key = press.key === ' ' ? 'Space' : press.key;
  // The code, not the key: with Alt held some keyboards give a sign instead of the digit or the letter.
  const digit = alt && !ctrl ? /^Digit([0-9])$/.exec(press.code)?.[1] : undefined;
  const letter = alt && !ctrl && !/^[a-z]$/i.test(key) && key.length === 1 ? /^Key([A-Z])$/.exec(press.code)?.[1] : undefined;
  key = digit ?? letter ?? (key.length === 1 ? key.toUpperCase() : key);
  const sign = key.length === 1 && !/[A-Z0-9]/.test(key) && key.toLowerCase() === key;
  // Many keyboards need AltGr (reported as Ctrl with Alt) or Alt for a sign.
  if (sign && alt) ctrl = alt = false;
  const shift = press.shiftKey && (key.length > 1 || key.toLowerCase() !== key);
  return `${ctrl ? 'Ctrl+' : ''}${alt ? 'Alt+' : ''}${shift ? 'Shift+' : ''}${key}`;
}

/** A chord of one sign without Ctrl or Alt: text in a field, and nothing when letters are switched off. */
const isLetter = (chord: string) => chord.length === 1 || /^Shift\+.$/.test(chord);

/** What is bound to a press. With Shift alone, what is bound to nothing is the key without it. */
function boundTo(chord: string, by: ByChord): Action | undefined {
  return by.get(chord) ?? (chord.startsWith('Shift+') ? by.get(chord.slice(6)) : undefined);
}

/** The command of a key press, or `null` when the key means nothing here. */
export function command(press: Press, where: Circumstances, by: ByChord = USUAL): Command | null {
  const chord = chordOf(press);
  if (chord === null) return null;
  const action = boundTo(chord, by);
  if (/^(Shift\+)?Escape$/.test(chord)) return { do: 'escape' };
  // Alt with a digit is no text: stages turn from a field too.
  if (where.typing) return action?.command.do === 'stage' && /^Alt\+\d$/.test(chord) ? action.command : null;
  return fixedKey(press, chord, where) ?? chosenKey(press, chord, where, action);
}

/** What digits, arrows and Enter do, whatever else is bound. */
function fixedKey(press: Press, chord: string, where: Circumstances): Command | null {
  const arrow = ARROWS[press.key];
  if (arrow && where.sighting === 'aim' && !press.ctrlKey && !press.metaKey) {
    return { do: 'sight_nudge', x: arrow[0], y: arrow[1], step: press.altKey ? 'creep' : press.shiftKey ? 'fine' : null };
  }
  if (arrow && where.aiming && !where.sighting && !/Ctrl|Alt/.test(chord)) {
    const step = press.shiftKey ? FINE_NUDGE_M : NUDGE_M;
    return { do: 'nudge', x: arrow[0] * step, y: arrow[1] * step };
  }
  if (press.repeat) return null;
  if (press.key === 'Enter' && /^(Shift\+)?Enter$/.test(chord)) return where.sighting && !where.onControl ? { do: 'sight', what: 'on' } : null;
  return /^[0-9]$/.test(chord) && where.letters ? { do: 'digit', digit: Number(chord) } : null;
}

function chosenKey(press: Press, chord: string, where: Circumstances, action: Action | undefined): Command | null {
  if (!action || (press.repeat && !action.repeats) || (isLetter(chord) && !where.letters)) return null;
  // Space presses the control that has the focus.
  if (where.onControl && /^(Shift\+)?Space$/.test(chord)) return null;
  return heard(action, where) ? action.command : null;
}

function heard(action: Action, where: Pick<Circumstances, 'stage' | 'sighting'>): boolean {
  if (action.scope === 'evening') return where.stage === 'room' || where.stage === 'tonight';
  return applies(action, where);
}

/** Whether an action means anything now, whatever asks for it: a key, or a control, which asks for Go on any page. */
export function applies(action: Action, where: Pick<Circumstances, 'stage' | 'sighting'>): boolean {
  if (action.scope === 'sighting') return Boolean(where.sighting);
  if (action.scope !== 'making') return true;
  if (where.sighting) return false;
  const moves = action.command.do === 'earlier' || action.command.do === 'later';
  return !moves || where.stage === 'looks' || where.stage === 'chases' || where.stage === 'cues';
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

/** What cannot be moved, for the list. */
export const FIXED_KEYS: readonly (readonly [keys: string, does: string])[] = [
  ['Esc', 'close the open word, then what is open; let go of the light, put it down'],
  ['Tab, Enter', 'from handle to handle, open or press it'],
  ['0 to 9', 'pick a light by its number; two digits typed quickly are one number'],
  ['arrows', 'move the picked light’s spot 10 cm, with Shift 1 cm'],
  ['Enter, in a field', 'take what is typed; Esc puts back what was'],
  ['arrows, on a bar', 'move the light along it 10 cm, with Shift 1 cm'],
  ['arrows, sighting in', 'move the spot that way on the picture; with Shift finely, with Alt by creep'],
  ['Enter, sighting in', 'it is on; then on to the next mark'],
];
