// The keys of this browser, as they are bound now and kept.
import { createMemo, createRoot, createSignal } from 'solid-js';
import { ariaKeys, byChord, readBindings, sayKeys, USUAL_BINDINGS, writeBindings, type Bindings } from './bindings';
import { remember, remembered } from './state';

const KEPT = 'bindings';
const kept = readBindings(remembered(KEPT));

const [bindings, setBindingsOnly] = createSignal<Bindings>(kept.bindings);
export { bindings };
/** What was wrong with the keys that this browser kept; empty when nothing was. */
export const [keysWrong, setKeysWrong] = createSignal(kept.wrong);

/** Binds keys from now on, and keeps them. */
export function setBindings(next: Bindings): void {
  setBindingsOnly(next);
  setKeysWrong('');
  remember(KEPT, writeBindings(next));
}

/** All keys as they usually are. */
export const usualKeys = () => setBindings(USUAL_BINDINGS);

/** What each chord asks for. */
export const bound = createRoot(() => createMemo(() => byChord(bindings())));
/** The keys of an action, as chords. */
export const keysOf = (id: string): readonly string[] => bindings().get(id) ?? [];
/** The keys of an action as they are printed. */
export const saidKeys = (id: string): string => sayKeys(keysOf(id));
/** The keys of an action for `aria-keyshortcuts`. */
export const shortcuts = (id: string): string | undefined => ariaKeys(keysOf(id));
