// Where the machine's messages go.
import { forgetAnswers, hearSaid } from './making';
import { setPast } from './past';
import { receive, setTouch } from './state';
import { forgetWhatIf, hearWhatIf } from './whatif';
import type { ToPage } from './wire.gen';

/** Takes in one message. */
export function hear(message: ToPage): void {
  if (message.type === 'said') hearSaid(message);
  else if (message.type === 'history') setPast(message);
  else if (message.type === 'what_if') hearWhatIf(message);
  else receive(message);
}

/** Notes that touch was gained or lost. */
export function touch(up: boolean): void {
  setTouch(up);
  if (up) return;
  forgetAnswers();
  forgetWhatIf();
}
