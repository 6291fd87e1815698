// Which key asks for which action: the usual keys, and what a person made of them. Pure: tables in, tables and words out.
import { keptUnder } from './kept';
import { ACTIONS, chordOf, type Action, type ByChord } from './keys';

/** The keys of every action, by its id; an empty list is an action without a key. */
export type Bindings = ReadonlyMap<string, readonly string[]>;

const VERSION = 1;

/** The usual keys. */
export const USUAL_BINDINGS: Bindings = new Map(ACTIONS.map((action) => [action.id, action.usual]));

/** An action by its id. */
export const actionOf = (id: string): Action | undefined => ACTIONS.find((action) => action.id === id);

/** What each chord asks for. */
export function byChord(bindings: Bindings): ByChord {
  return new Map(ACTIONS.flatMap((action) => (bindings.get(action.id) ?? []).map((chord) => [chord, action] as const)));
}

/** What came of a wish for a key: done; another action has it, and may change keys with this one or not; or never. */
export type Wish =
  | { is: 'free'; bindings: Bindings }
  | { is: 'taken'; by: Action; swapped: Bindings | null; why: string }
  | { is: 'refused'; why: string };

/** Gives an action a key instead of those that it has. */
export function wish(bindings: Bindings, id: string, chord: string): Wish {
  const action = actionOf(id);
  if (!action) return { is: 'refused', why: 'There is no such action.' };
  const why = whyNot(action, chord);
  if (why) return { is: 'refused', why };
  const by = byChord(bindings).get(chord);
  if (!by || by === action) return { is: 'free', bindings: new Map([...bindings, [id, [chord]]]) };
  const others = bindings.get(by.id) ?? [];
  const mine = (bindings.get(id) ?? []).slice(0, 1);
  // Of several keys the other loses only this one, and needs none for it.
  const left = others.length > 1 ? others.filter((one) => one !== chord) : mine;
  const bad = left.length === 0 ? (by.must ? MUST : null) : left.map((one) => whyNot(by, one)).find(Boolean);
  if (bad) return { is: 'taken', by, swapped: null, why: bad };
  return { is: 'taken', by, swapped: new Map([...bindings, [id, [chord]], [by.id, left]]), why: '' };
}

/** Takes an action's keys away; `null` when it must have one. */
export function without(bindings: Bindings, id: string): Bindings | null {
  return actionOf(id)?.must ? null : new Map([...bindings, [id, []]]);
}

const MUST = 'A stop key is never left without a key.';

/** Keys that a browser, or the page, keeps to itself. */
const BROWSERS = /^(Ctrl\+(Shift\+)?[ACJLNPQRTVWX]|Ctrl\+[-+=0]|F5|Ctrl\+F5|F1[12]|Alt\+F4|(Ctrl\+)?Alt\+(Delete|Space)|Alt\+(Home|ArrowLeft|ArrowRight)|ContextMenu|PrintScreen)$/;

/** Why an action cannot have a key, as a sentence; `null` when it can. */
export function whyNot(action: Action, chord: string): string | null {
  const key = chord.replace(/^(Ctrl\+)?(Alt\+)?(Shift\+)?(?=.)/, '');
  if (key === 'Escape') return 'Esc always closes what is open.';
  if (key === 'Tab') return 'Tab always goes from handle to handle.';
  if (key === 'Enter') return 'Enter always presses the handle that has the focus.';
  if (/^[0-9]$/.test(chord)) return 'Digits always pick lights by their numbers.';
  const moves = action.id === 'earlier' || action.id === 'later';
  if (/^Arrow/.test(key) && !chord.startsWith('Ctrl+') && !(moves && /^Alt\+Arrow(Up|Down)$/.test(chord))) return 'Arrows always move spots.';
  if (BROWSERS.test(chord)) return `${sayChord(chord)} belongs to the browser.`;
  if (action.must && key === 'Space') return 'Space also presses the handle that has the focus; a stop key must mean one thing.';
  return null;
}

/** A chord as it is printed: 'Ctrl Z', 'Alt up', 'Space'. */
export function sayChord(chord: string): string {
  if (chord === '+') return '+';
  return chord.replace(/\+(?=.)/g, ' ').replace(/Arrow(\w+)$/, (_, way: string) => way.toLowerCase()).replace(/Escape$/, 'Esc');
}

/** The keys of an action as they are printed: 'Ctrl Shift Z or Ctrl Y'; 'no key'. */
export function sayKeys(chords: readonly string[]): string {
  return chords.length === 0 ? 'no key' : chords.map(sayChord).join(' or ');
}

/** The same for `aria-keyshortcuts` (WAI-ARIA 1.2); `undefined` without a key. */
export function ariaKeys(chords: readonly string[]): string | undefined {
  const said = chords.map((chord) => chord.replace(/^Ctrl\+/, 'Control+').replace(/\+\+$/, '+Plus').replace(/^\+$/, 'Plus'));
  return said.length === 0 ? undefined : said.join(' ');
}

/** Whether all keys are the usual ones. */
export const isUsual = (bindings: Bindings): boolean => ACTIONS.every((action) => same(bindings.get(action.id) ?? [], action.usual));

/** What differs from the usual, as it is kept; `null` when nothing does. */
export function writeBindings(bindings: Bindings): string | null {
  if (isUsual(bindings)) return null;
  const changed = ACTIONS.filter((action) => !same(bindings.get(action.id) ?? [], action.usual));
  return JSON.stringify({ version: VERSION, keys: Object.fromEntries(changed.map((action) => [action.id, bindings.get(action.id) ?? []])) });
}

/** Reads what was kept. What cannot be read is left out, with a sentence; `wrong` is empty when all is well. */
export function readBindings(text: string | null): { bindings: Bindings; wrong: string } {
  if (text === null) return { bindings: USUAL_BINDINGS, wrong: '' };
  const kept = keptKeys(text);
  if (!kept) return { bindings: USUAL_BINDINGS, wrong: 'The keys kept in this browser could not be read; the usual keys stand.' };
  let broken = 0;
  const bindings = new Map(USUAL_BINDINGS);
  for (const [id, chords] of Object.entries(kept)) {
    const action = actionOf(id);
    if (action && isChords(action, chords)) bindings.set(id, chords);
    else broken += 1;
  }
  const all = [...bindings.values()].flat();
  if (new Set(all).size < all.length) return { bindings: USUAL_BINDINGS, wrong: 'Of the keys kept in this browser one stood for two actions; the usual keys stand.' };
  const wrong = broken === 0 ? '' : `${broken === 1 ? 'A key' : `${broken} keys`} kept in this browser could not be read; the usual stands there.`;
  return { bindings, wrong };
}

function keptKeys(text: string): Record<string, unknown> | null {
  const keys = keptUnder(text, VERSION, 'keys');
  return typeof keys === 'object' && keys !== null && !Array.isArray(keys) ? (keys as Record<string, unknown>) : null;
}

function isChords(action: Action, chords: unknown): chords is string[] {
  if (!Array.isArray(chords) || chords.length > 4 || (action.must && chords.length === 0)) return false;
  return chords.every((chord) => typeof chord === 'string' && wellFormed(chord) && whyNot(action, chord) === null);
}

/** A chord as a press would write it. */
function wellFormed(chord: string): boolean {
  const found = /^(Ctrl\+)?(Alt\+)?(Shift\+)?([^\s\p{C}]|[A-Z][A-Za-z0-9]{1,24})$/u.exec(chord);
  if (!found) return false;
  const key = found[4] === 'Space' ? ' ' : (found[4] ?? '');
  const press = { key, code: '', altKey: Boolean(found[2]), ctrlKey: Boolean(found[1]), metaKey: false, shiftKey: Boolean(found[3]), repeat: false };
  return chordOf(press) === chord;
}

const same = (a: readonly string[], b: readonly string[]) => a.length === b.length && a.every((one, at) => one === b[at]);
