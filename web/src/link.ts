// The socket to the machine: opens, reads, and opens again by itself. It keeps nothing for later: what cannot be
// sent now is not sent.
import type { Intent, Knock, ToPage } from './wire.gen';

/** What the page hears from the socket. */
export type Hearing = {
  /** A message arrived. */
  message(message: ToPage): void;
  /** The machine is in touch (it has let this browser in), or touch was lost. */
  touch(up: boolean): void;
  /** What this browser says first, if anything. */
  firstKnock(): Knock | null;
};

/** An open way to the machine. */
export type Link = {
  /** Sends at once; `false` when there is no touch. */
  send(intent: Intent): boolean;
  /** Sends a pairing code; `false` when nobody is there to hear it. */
  knock(knock: Knock): boolean;
  /** Ends it for good. */
  close(): void;
};

const FIRST_WAIT_MS = 250;
const LONGEST_WAIT_MS = 2000;
/** How often the socket is looked after. */
const WATCH_MS = 500;
/** A look later than this came while the page itself was held up: it says nothing about the socket. */
const LATE_MS = 150;
/** Moments come about thirty times a second; so many looks on time without one show a dead socket. */
const MOST_SILENT = 6;
/** A machine or a network may be slow to answer the first knock. */
const CONNECT_MS = 10_000;

/** Tells a dead socket from a page that was held up: only looks that came on time count. */
export class Silence {
  private looked: number;
  private silent = 0;

  /** `now` is in milliseconds of any clock that runs on. */
  constructor(private readonly began: number) {
    this.looked = began;
  }

  /** Something arrived. */
  heard(): void {
    this.silent = 0;
  }

  /** One look, due every 500 ms; `true` when the socket is to be given up. */
  look(now: number, connecting: boolean): boolean {
    const late = now - this.looked > WATCH_MS + LATE_MS;
    this.looked = now;
    if (connecting) return now - this.began >= CONNECT_MS && !late;
    if (!late) this.silent += 1;
    return this.silent >= MOST_SILENT;
  }
}

const SEEN = JSON.stringify({ type: 'seen' } satisfies Intent);

/** Connects to `/live` on the host that served the page. */
export function connect(hearing: Hearing): Link {
  let socket: WebSocket | undefined;
  let wait = FIRST_WAIT_MS;
  let retry: ReturnType<typeof setTimeout> | undefined;
  let silence = new Silence(0);
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
    silence = new Silence(performance.now());
    fresh.onopen = () => {
      const knock = hearing.firstKnock();
      if (knock) fresh.send(JSON.stringify(knock));
    };
    fresh.onmessage = (event) => {
      const message = read(event.data);
      if (!message || socket !== fresh) return;
      silence.heard();
      wait = FIRST_WAIT_MS;
      setTouch(message.type !== 'pair' && message.type !== 'sent_away');
      hearing.message(message);
      // Says that the next may come; while this page is busy they wait on the machine, where only the newest is kept.
      if (message.type === 'moment' && fresh.readyState === WebSocket.OPEN) fresh.send(SEEN);
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

  const watch = setInterval(() => {
    const current = socket;
    if (!current || !silence.look(performance.now(), current.readyState === WebSocket.CONNECTING)) return;
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
    knock(knock) {
      if (socket?.readyState !== WebSocket.OPEN) return false;
      socket.send(JSON.stringify(knock));
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
