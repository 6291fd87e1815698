import { createEffect, createMemo, createSignal, createUniqueId, For, on, Show } from 'solid-js';
import { finding, type KindOf } from '../kinds';
import { Symbol } from './Symbol';

/** So many of what was found are shown; the rest wants more letters. */
const SHOWN = 8;

/**
 * Finds a kind of light by a word of its name, by its sort or by its channels. A list stands under the field as soon as
 * something is typed; Enter takes the first, or the arrow keys go through it.
 */
export function FindKind(props: { kinds: readonly KindOf[]; press: (name: string) => void; chosen?: string }) {
  const [typed, setTyped] = createSignal('');
  const [all, setAll] = createSignal(false);
  const id = createUniqueId();
  let box!: HTMLDivElement;
  let input!: HTMLInputElement;
  const found = createMemo(() => (typed().trim() || all() ? finding(props.kinds, typed()) : []));
  const shown = () => (all() ? found() : found().slice(0, SHOWN));
  const says = () => {
    const [n, word] = [found().length, typed().trim()];
    if (!word) return all() ? `${n} kinds` : `${props.kinds.length} kinds are known: type a part of a name, a sort such as “hazer”, or “9 channels”.`;
    if (n === 0) return `No kind of light holds “${word}”. Another word, or fewer of them, may.`;
    return n > shown().length ? `${n} kinds, the first ${shown().length} shown: type more to narrow them down.` : n === 1 ? 'One kind.' : `${n} kinds.`;
  };
  // What is found stands below: up with the field, so that neither a hand nor a key bar hides it.
  const looking = createMemo(() => shown().length > 0);
  createEffect(on(looking, (now) => now && box.scrollIntoView({ block: 'start' }), { defer: true }));
  const take = (name: string) => {
    props.press(name);
    setTyped('');
    setAll(false);
    input.focus({ preventScroll: true });
  };
  const step = (from: Element | null, by: 1 | -1) => {
    const rows = [...box.querySelectorAll<HTMLElement>('.kind-found')];
    const next = rows.indexOf(from as HTMLElement) + by;
    (next < 0 ? input : (rows[next] ?? rows.at(-1)))?.focus();
  };
  const keys = (event: KeyboardEvent) => {
    if (event.key === 'ArrowDown' || event.key === 'ArrowUp') {
      event.preventDefault();
      step(document.activeElement, event.key === 'ArrowDown' ? 1 : -1);
    } else if (event.key === 'Enter' && event.target === input) {
      event.preventDefault();
      const first = found()[0];
      if (first && typed().trim()) take(first.name);
    } else if (event.key === 'Escape' && (typed() || all())) {
      event.stopPropagation();
      setTyped('');
      setAll(false);
      input.focus();
    }
  };
  return (
    <div class="find-kind" ref={box} onKeyDown={keys}>
      <div class="find-kind-head">
        <label class="fact find-kind-word">
          find another kind
          <input
            ref={input}
            type="search"
            autocomplete="off"
            spellcheck={false}
            maxlength={40}
            aria-describedby={id}
            value={typed()}
            onInput={(event) => (setTyped(event.currentTarget.value), setAll(false))}
          />
        </label>
        <Show when={!typed().trim()}>
          <button type="button" class="choice" aria-expanded={all()} onClick={() => setAll(!all())}>
            {all() ? 'fewer' : `all ${props.kinds.length}`}
          </button>
        </Show>
      </div>
      <p class="fact" id={id} role="status">
        {says()}
      </p>
      <Show when={shown().length > 0}>
        <ul class="plain kinds-found">
          <For each={shown()}>
            {(kind) => (
              <li>
                <button
                  type="button"
                  class="kind-found"
                  aria-pressed={props.chosen === undefined ? undefined : props.chosen === kind.name}
                  onClick={() => take(kind.name)}
                >
                  <Symbol kind={kind.symbol} />
                  <span class="kind-name">{kind.name}</span>
                  <span class="fact">
                    {kind.sort}, {kind.modes.map((mode) => mode.channels).join(', ')} {kind.modes.every((mode) => mode.channels === 1) ? 'channel' : 'channels'}
                  </span>
                </button>
              </li>
            )}
          </For>
        </ul>
      </Show>
    </div>
  );
}
