import { For, Show } from 'solid-js';
import { paceChase } from '../act';
import { now, up } from '../state';
import { capital } from '../words';

/** Times as fast as its steps say. A chase that stands keeps its lights, and goes on from there. */
const PACES = [
  [0, 'standing'],
  [0.5, 'half time'],
  [1, 'as made'],
  [2, 'double time'],
] as const;

/** How fast a running chase goes: for this evening, the chase itself stays as it is. */
export function ChasePace(props: { name: string }) {
  const speed = () => now.chases.find((one) => one.name === props.name)?.speed;
  return (
    <Show when={speed() !== undefined}>
      <div class="chase-pace choice-row" role="group" aria-label={`Pace of ${capital(props.name)}`}>
        <For each={PACES}>
          {([pace, word]) => (
            <button type="button" class="choice" aria-pressed={speed() === pace} aria-disabled={!up()} onClick={() => paceChase(props.name, pace)}>
              {word}
            </button>
          )}
        </For>
      </div>
    </Show>
  );
}
