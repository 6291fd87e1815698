// What the plan would say after a change that is not made.
import { createSignal } from 'solid-js';
import type { Change } from './change.gen';
import { send } from './state';
import type { WhatIfView } from './wire.gen';

/** Told last, and for which change; undefined until it is. */
const [answer, setAnswer] = createSignal<WhatIfView>();
export { answer as whatIf };

/** Asked and not answered yet: only the answer to the last of them counts. */
let waiting = 0;

/** Asks what a change would bring; `null` asks nothing and forgets the answer. */
export function askWhatIf(change: Change | null): void {
  if (change === null) return void setAnswer(undefined);
  waiting += 1;
  send({ type: 'what_if', change });
}

export function hearWhatIf(view: WhatIfView): void {
  waiting = Math.max(0, waiting - 1);
  if (waiting === 0) setAnswer(view);
}

/** Touch was lost: no answer comes any more. */
export function forgetWhatIf(): void {
  waiting = 0;
}
