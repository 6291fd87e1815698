import { For } from 'solid-js';
import type { Word } from '../wire.gen';
import { keepUnits, sayColour } from '../words';

/** A told sentence: colour words are underlined in the colour that they name. */
export function Sentence(props: { words: readonly Word[] }) {
  return (
    <For each={props.words}>
      {(word) =>
        word.colour ? (
          <span class="colour" style={{ '--colour': word.colour }}>
            {sayColour(word.text)}
          </span>
        ) : (
          keepUnits(word.text)
        )
      }
    </For>
  );
}
