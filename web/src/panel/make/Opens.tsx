import { createUniqueId, Index, onMount, Show, type JSX } from 'solid-js';
import { byKey, field, refusal, toggleField } from '../../making';
import { keepUnits, sayColour } from '../../words';
import type { Word } from '../../wire.gen';

/** An underlined word that opens its editor under the sentence. */
export function Opens(props: { field: string; colour?: string; label?: string; children: JSX.Element }) {
  const chosen = () => field() === props.field;
  // No button element: those do not break where the sentence does.
  return (
    <span
      role="button"
      tabindex="0"
      class="handle tells"
      classList={{ chosen: chosen(), colour: props.colour !== undefined }}
      style={props.colour === undefined ? {} : { '--colour': props.colour }}
      data-opens={props.field}
      aria-expanded={chosen()}
      aria-label={props.label}
      onClick={(event) => toggleField(props.field, event.detail === 0)}
      onKeyDown={(event) => {
        if (event.target !== event.currentTarget || (event.key !== 'Enter' && event.key !== ' ')) return;
        event.preventDefault();
        toggleField(props.field, true);
      }}
    >
      {props.children}
    </span>
  );
}

/** A told sentence whose words open the editors of what they tell. */
export function TellingSentence(props: { words: readonly Word[]; key: (of: string) => string; can: (of: string) => boolean }) {
  return (
    <Index each={props.words}>
      {(word) => {
        const of = () => (word().of && props.can(word().of!) ? word().of! : undefined);
        return (
          <Show
            when={of()}
            fallback={
              <Show when={word().colour} fallback={keepUnits(word().text)}>
                {(colour) => (
                  <span class="colour" style={{ '--colour': colour() }}>
                    {sayColour(word().text)}
                  </span>
                )}
              </Show>
            }
          >
            {(name) => (
              <Opens field={props.key(name())} colour={word().colour ?? undefined}>
                {word().colour ? sayColour(word().text) : keepUnits(word().text)}
              </Opens>
            )}
          </Show>
        );
      }}
    </Index>
  );
}

/** What stands under a sentence while one of its words is open. Opened from the keyboard, it takes the focus. */
export function Editor(props: { label: string; class?: string; children: JSX.Element }) {
  let box!: HTMLDivElement;
  onMount(() => {
    const first = box.querySelector<HTMLElement>('input');
    const only = first && box.querySelectorAll('button, input, [tabindex]').length <= 2;
    if (byKey()) box.querySelector<HTMLElement>('input, button, [tabindex]')?.focus({ preventScroll: true });
    else if (only) first.focus({ preventScroll: true });
    box.scrollIntoView({ block: 'nearest' });
  });
  return (
    <div ref={box} class={`editor ${props.class ?? ''}`} role="group" aria-label={props.label}>
      {props.children}
      <Show when={refusal()?.field === field() && refusal()}>{(why) => <p class="why">{why().says}</p>}</Show>
    </div>
  );
}

/** One of a few words to choose from. */
export function Choice(props: { on: boolean; press: () => void; colour?: string; label?: string; children: JSX.Element }) {
  return (
    <button
      type="button"
      class="choice"
      classList={{ colour: props.colour !== undefined }}
      style={props.colour === undefined ? {} : { '--colour': props.colour }}
      aria-pressed={props.on}
      aria-label={props.label}
      onClick={() => props.press()}
    >
      {props.children}
    </button>
  );
}

/** A row of choices under a word of its own. */
export function Row(props: { word: string; children: JSX.Element }) {
  const id = createUniqueId();
  return (
    <div class="choice-row" role="group" aria-labelledby={id}>
      <span class="choice-word fact" id={id}>
        {props.word}
      </span>
      {props.children}
    </div>
  );
}
