import type { JSX } from 'solid-js';

/** An underlined word that opens its editor. A colour word is underlined in the colour that the light gives. */
export function Handle(props: { open: boolean; colour?: string; press: () => void; children: JSX.Element }) {
  return (
    <button
      type="button"
      class="handle inline"
      classList={{ chosen: props.open, colour: props.colour !== undefined }}
      style={props.colour === undefined ? {} : { '--colour': props.colour }}
      aria-expanded={props.open}
      onClick={() => props.press()}
    >
      {props.children}
    </button>
  );
}
