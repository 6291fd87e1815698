import { For } from 'solid-js';

/** The colours of a look or chase as one ruled line above its word. */
export function ColourRule(props: { colours: readonly string[] }) {
  return (
    <span class="colour-rule" aria-hidden="true">
      <For each={props.colours.slice(0, 6)}>{(colour) => <i style={{ background: colour }} />}</For>
    </span>
  );
}
