// How this page looks at the room. It belongs to this page alone; the rig has its own, which begins as its plan.
import { createSignal } from 'solid-js';
import { stage } from '../state';
import type { FlatSide } from './flat';

/** The four words, in the order in which the key goes through them. */
export const WAYS = ['evening', 'plan', 'front', 'side'] as const;
type Word = (typeof WAYS)[number];

const [ofRoom, setOfRoom] = createSignal<Word>('evening');
const [ofRig, setOfRig] = createSignal<Word>('plan');

/** People-sized figures stand in the room, for scale. */
export const [figures, setFigures] = createSignal(true);

/** How the room is looked at on this stage. */
export const way = (): Word => (stage() === 'rig' ? ofRig() : ofRoom());

/** Looks at the room another way. */
export function setWay(next: Word): void {
  if (stage() === 'rig') setOfRig(next);
  else setOfRoom(next);
}

/** The next of the four, and round again. */
export function nextWay(): void {
  setWay(WAYS[(WAYS.indexOf(way()) + 1) % WAYS.length] ?? 'evening');
}

/** What the picture draws: in the rig the plan is the one with cables and sockets. */
export const drawn = (): 'evening' | 'rig' | FlatSide => (stage() === 'rig' && way() === 'plan' ? 'rig' : way());
