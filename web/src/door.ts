// Who this browser is to the machine: what it keeps of its pairing, what it may do, and what is asked of it at the door.
import { createSignal } from 'solid-js';
import type { Admitted, DoorView, Intent, Knock, PairAsk, Role, ToPage } from './wire.gen';

/** A refusal is shown for so long. */
const REFUSED_MS = 6000;
const KEY = 'lanthorn.token';
/** What alters the show itself. */
const MAKING: ReadonlySet<Intent['type']> = new Set(['change', 'undo', 'redo', 'keep_look', 'ask_history', 'bookmark', 'restore', 'channel_try', 'channel_release']);
const RANKS: readonly Role[] = ['look', 'run', 'make'];

/** The machine wants a code; `null` once this browser is admitted, and before anything is known. */
export const [asked, setAsked] = createSignal<PairAsk | null>(null);
/** What this browser may do. */
export const [role, setRole] = createSignal<Role>('look');
/** It is the machine's own browser. */
export const [own, setOwn] = createSignal(false);
/** Codes and paired browsers, on the machine's own page. */
export const [door, setDoor] = createSignal<DoorView>();
/** What the machine has just refused, one sentence. */
export const [refused, setRefused] = createSignal('');

let token = read();
let code = codeOfAddress();
let refusedTimer: ReturnType<typeof setTimeout> | undefined;

/** Whether this browser may do what needs a role. */
export const may = (needed: Role): boolean => RANKS.indexOf(role()) >= RANKS.indexOf(needed);

/** Whether an intent is worth sending: who only looks on sends nothing that moves. The machine decides all the rest. */
export const worthSending = (intent: Intent): boolean => intent.type === 'ask_colour' || may(MAKING.has(intent.type) ? 'make' : 'run');

/** What this browser says first. A code that it was opened with counts before an earlier pairing. */
export function firstKnock(): Knock | null {
  if (code) {
    const knock: Knock = { type: 'pair', code, name: '' };
    code = null;
    return knock;
  }
  return token ? { type: 'token', token } : null;
}

/** What a request beside the socket carries. */
export const credentials = (): Record<string, string> => (token ? { Authorization: `Bearer ${token}` } : {});

/** Takes in what is said at the door; `true` when that is all there is to it. */
export function atDoor(message: ToPage): message is Extract<ToPage, { type: 'pair' | 'admitted' | 'door' | 'refused' | 'sent_away' }> {
  switch (message.type) {
    case 'pair':
      if (message.forget) keep(null);
      // Its token is on the way: no question yet.
      // What was said last stays while nothing new is said: that this browser was sent away, for one.
      if (token === null || message.says) setAsked({ ...message, says: message.says || asked()?.says || '' });
      return true;
    case 'sent_away':
      keep(null);
      setAsked({ says: message.says, wait_s: 0, forget: true });
      return true;
    case 'admitted':
      admit(message);
      return true;
    case 'door':
      setDoor(message);
      return true;
    case 'refused':
      setRefused(message.says);
      clearTimeout(refusedTimer);
      refusedTimer = setTimeout(() => setRefused(''), REFUSED_MS);
      return true;
    default:
      return false;
  }
}

function admit(message: Admitted): void {
  if (message.token) keep(message.token);
  setRole(message.role);
  setOwn(message.own);
  document.body.dataset.role = message.role;
  setAsked(null);
}

/** The code in the address, which is taken out of it at once: it is nobody's to read over a shoulder or in a history. */
function codeOfAddress(): string | null {
  const found = /^#pair=([0-9A-Za-z]{1,12})$/.exec(location.hash)?.[1] ?? null;
  if (found) history.replaceState(null, '', location.pathname);
  return found;
}

// A browser may refuse its storage (private windows); then the pairing lasts as long as the page.
function read(): string | null {
  try {
    return localStorage.getItem(KEY);
  } catch {
    return null;
  }
}

function keep(fresh: string | null): void {
  token = fresh;
  try {
    if (fresh === null) localStorage.removeItem(KEY);
    else localStorage.setItem(KEY, fresh);
  } catch {
    // Not kept, then.
  }
}
