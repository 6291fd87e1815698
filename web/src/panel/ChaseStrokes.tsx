import { Index, Show } from 'solid-js';
import type { ChaseView } from '../wire.gen';
import { now } from '../state';
import { capital } from '../words';

/** A chase as one short stroke for each step, in its real colour; the present one is thicker and named. */
export function ChaseStrokes(props: { chase: ChaseView; named?: boolean }) {
  const step = () => now.chases.find((running) => running.name === props.chase.name)?.step;
  return (
    <div class="strokes">
      <div class="strokes-row" aria-hidden="true">
        <Index each={props.chase.colours}>
          {(colour, index) => <i classList={{ present: step() === index }} style={{ background: colour() }} />}
        </Index>
      </div>
      <Show when={step() !== undefined}>
        <p class="fact">
          <Show when={props.named}>{capital(props.chase.name)}, </Show>
          step {(step() ?? 0) + 1} of {props.chase.steps.length}
          <Show when={props.chase.steps[step() ?? 0]}>{(name) => <>, {name()}</>}</Show>
        </p>
      </Show>
    </div>
  );
}
