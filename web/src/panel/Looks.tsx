import { For, Show } from 'solid-js';
import { putOn } from '../act';
import { now, scene, up } from '../state';
import { capital, count } from '../words';
import { ColourRule } from './ColourRule';
import { Sentence } from './Sentence';

/** Every look with its sentences; a tap puts it on. */
export function Looks() {
  const looks = () => scene()?.looks ?? [];
  return (
    <>
      <p class="label">
        {looks().length === 1 ? 'One look' : `${capital(count(looks().length))} looks`}; a tap puts one on
      </p>
      <Show when={looks().length === 0}>
        <p class="saying">Nothing to look at yet. A look says who shines, where, in what colour and how bright.</p>
      </Show>
      <For each={looks()}>
        {(look) => (
          <article class="item" classList={{ on: now.look === look.name }}>
            <ColourRule colours={look.colours} />
            <h2 class="subtitle">
              <button
                type="button"
                class="cover"
                aria-pressed={now.look === look.name}
                aria-disabled={!up()}
                onClick={() => putOn(look.name)}
              >
                {capital(look.name)}
              </button>
              <Show when={now.look === look.name}>
                <span class="fact bright"> on now</span>
              </Show>
            </h2>
            <For each={look.words}>
              {(sentence) => (
                <p class="saying small">
                  <Sentence words={sentence} />
                </p>
              )}
            </For>
          </article>
        )}
      </For>
    </>
  );
}
