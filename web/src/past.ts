// What the show has been, as the machine tells it while somebody looks at it.
import { createSignal } from 'solid-js';
import { send } from './state';
import type { HistoryView } from './wire.gen';

/** Told last; undefined until it is. */
export const [past, setPast] = createSignal<HistoryView>();

export const askPast = () => send({ type: 'ask_history' });

/** When an edit was made: today by the clock alone. */
export function sayWhen(when: string, now: Date): string {
  const two = (number: number) => String(number).padStart(2, '0');
  const today = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
  return when.startsWith(`${today} `) ? when.slice(today.length + 1) : when;
}
