// Where the machine's messages go.
import type { FromMachine } from './change';
import { forgetAnswers, hearSaid } from './making';
import { receive, setTouch } from './state';

/** Takes in one message. */
export function hear(message: FromMachine): void {
  if (message.type === 'said') hearSaid(message);
  else receive(message);
}

/** Notes that touch was gained or lost. */
export function touch(up: boolean): void {
  setTouch(up);
  if (!up) forgetAnswers();
}
