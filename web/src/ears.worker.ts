// The socket for sound, on a thread of its own: a page that is busy drawing delays no block.
import type { EarsHello, Knock, ToEars, ToPage } from './wire.gen';

/** What the page says first. */
export type ToWorker = { address: string; knock: Knock | null; hello: EarsHello; port: MessagePort };
/** What it hears: the number of its source; or that it has ended, and why (empty: the machine is out of touch). */
export type FromWorker = { number: number } | { ended: string };

/** More than this is on its way already: a block that came too late is of no use, and the next says what is missing. */
const MOST_WAITING = 64 * 1024;

const say = (message: FromWorker) => postMessage(message);

onmessage = ({ data: { address, knock, hello, port } }: MessageEvent<ToWorker>) => {
  const socket = new WebSocket(address);
  let ended = false;
  const end = (why: string) => {
    if (ended) return;
    ended = true;
    port.onmessage = null;
    say({ ended: why });
    socket.close();
  };
  socket.onopen = () => {
    if (knock) socket.send(JSON.stringify(knock));
    socket.send(JSON.stringify(hello));
  };
  socket.onmessage = (event: MessageEvent<string>) => {
    const message = JSON.parse(event.data) as ToEars | ToPage;
    if (message.type === 'listening') {
      port.onmessage = ({ data: block }: MessageEvent<ArrayBuffer>) => {
        if (socket.bufferedAmount < MOST_WAITING) socket.send(block);
      };
      say({ number: message.number });
    }
    if (message.type === 'ended' || message.type === 'sent_away') end(message.says);
    if (message.type === 'pair' && message.says) end(message.says);
  };
  socket.onclose = () => end('');
};
