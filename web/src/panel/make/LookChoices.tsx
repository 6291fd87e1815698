import { For } from 'solid-js';
import { scene } from '../../state';
import { capital } from '../../words';
import { ColourRule } from '../ColourRule';

/** Looks to choose from, each under the colours that it shows. */
export function LookChoices(props: { chosen: (name: string) => boolean; press: (name: string) => void; counted?: (name: string) => string }) {
  return (
    <div class="look-choices">
      <For each={scene()?.looks}>
        {(look) => (
          <button type="button" class="look-choice" aria-pressed={props.chosen(look.name)} onClick={() => props.press(look.name)}>
            <ColourRule colours={look.colours} />
            <span>{capital(look.name)}</span>{' '}
            <span class="fact">{props.counted?.(look.name)}</span>
          </button>
        )}
      </For>
    </div>
  );
}
