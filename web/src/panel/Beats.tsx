import { For } from 'solid-js';
import { placeInBar } from '../music';

/** The bar as a mark that travels along its beats, a stroke each; with reduced motion, as words that stand. */
export function Beats() {
  return (
    <span class="beats">
      <span class="beats-row" aria-hidden="true">
        <For each={Array.from({ length: placeInBar().of })}>{() => <i />}</For>
        <b style={{ left: `${placeInBar().at * 100}%` }} />
      </span>
      <span class="beats-words fact">
        beat {placeInBar().place} of {placeInBar().of}
      </span>
    </span>
  );
}
