// The socket to the machine: opens, reads, and opens again by itself. It keeps nothing for later: what cannot be
// sent now is not sent.
import type { Intent, ToPage } from './wire.gen';

/** What the page hears from the socket. */
export type Hearing = {
  /** A message arrived. */
  message(message: ToPage): void;
  /** The machine is in touch (the first message has come), or touch was lost. */
  touch(up: boolean): void;
};

/** An open way to the machine. */
export type Link = {
  /** Sends at once; `false` when there is no touch. */
  send(intent: Intent): boolean;
  /** Ends it for good. */
  close(): void;
};

const FIRST_WAIT_MS = 250;
const LONGEST_WAIT_MS = 2000;
/** Moments come about thirty times a second; this long without one is a dead socket that has not noticed. */
const SILENCE_MS = 3000;
const WATCH_MS = 500;

/** Connects to `/live` on the host that served the page. */
export function connect(hearing: Hearing): Link {
  let socket: WebSocket | undefined;
  let wait = FIRST_WAIT_MS;
  let retry: ReturnType<typeof setTimeout> | undefined;
  let heardAt = 0;
  let up = false;
  let closed = false;

  const setTouch = (now: boolean) => {
    if (up === now) return;
    up = now;
    hearing.touch(now);
  };

  const lose = (lost: WebSocket) => {
    if (socket !== lost) return;
    socket = undefined;
    setTouch(false);
    if (closed) return;
    retry = setTimeout(open, wait);
    wait = Math.min(wait * 2, LONGEST_WAIT_MS);
  };

  const open = () => {
    retry = undefined;
    const fresh = new WebSocket(address());
    socket = fresh;
    heardAt = performance.now();
    fresh.onmessage = (event) => {
      const message = read(event.data);
      if (!message || socket !== fresh) return;
      heardAt = performance.now();
      wait = FIRST_WAIT_MS;
      setTouch(true);
      hearing.message(message);
    };
    fresh.onclose = () => lose(fresh);
  };

  const openNow = () => {
    if (retry === undefined) return;
    clearTimeout(retry);
    wait = FIRST_WAIT_MS;
    open();
  };
  const openWhenSeen = () => {
    if (document.visibilityState === 'visible') openNow();
  };

  let watchedAt = performance.now();
  const watch = setInterval(() => {
    const current = socket;
    const at = performance.now();
    // After a stall of the page itself (sleep, a heavy frame) what came meanwhile still waits to be read.
    if (at - watchedAt > 2 * WATCH_MS) heardAt = at;
    watchedAt = at;
    if (!current || at - heardAt < SILENCE_MS) return;
    // A half-dead socket may take minutes to report its close, so it is given up here.
    current.onclose = null;
    current.close();
    lose(current);
  }, WATCH_MS);

  addEventListener('online', openNow);
  document.addEventListener('visibilitychange', openWhenSeen);
  open();

  return {
    send(intent) {
      if (!up || socket?.readyState !== WebSocket.OPEN) return false;
      socket.send(JSON.stringify(intent));
      return true;
    },
    close() {
      closed = true;
      clearTimeout(retry);
      clearInterval(watch);
      removeEventListener('online', openNow);
      document.removeEventListener('visibilitychange', openWhenSeen);
      socket?.close();
    },
  };
}

function address(): string {
  return `${location.protocol === 'https:' ? 'wss' : 'ws'}://${location.host}/live`;
}

function read(data: unknown): ToPage | null {
  if (typeof data !== 'string') return null;
  try {
    return JSON.parse(data) as ToPage;
  } catch {
    return null;
  }
}
