import { createEffect, For, on, onMount, Show } from 'solid-js';
import { bookmark, draft, restore, setDraft } from '../making';
import { askPast, past, sayWhen } from '../past';
import { scene, setOver, up } from '../state';
import type { EntryView } from '../wire.gen';
import { capital, count } from '../words';
import { Act } from './make/Acts';
import { Typed } from './make/Typed';

const KEY = 'bookmark';
/** Names that are wanted on most evenings. */
const USUAL = ['before soundcheck', 'before doors'];

/** What the show has been: moments with a name, and every change. Going back is a change itself, which can be undone. */
export function History() {
  let title!: HTMLHeadingElement;
  onMount(() => title.focus({ preventScroll: true }));
  // With every change of anybody, and when touch is found again.
  createEffect(on([scene, up], () => up() && askPast()));
  const named = () => past()?.entries.filter((entry) => entry.bookmarks.length > 0) ?? [];
  /** The next usual name that is free. */
  const usual = () => USUAL.find((name) => named().every((entry) => !entry.bookmarks.includes(name))) ?? '';
  const keep = (name: string, answer?: (done: boolean) => void) =>
    bookmark(name, (done) => {
      answer?.(done);
      if (!done) return;
      setDraft(KEY, undefined);
      askPast();
    });
  return (
    <section class="past" aria-label="History">
      <h1 class="title" ref={title} tabindex="-1">
        History
      </h1>
      <Show
        when={!past()?.none}
        fallback={<p class="saying">{past()?.none}.</p>}
      >
        <p class="saying small soft">Give the show as it is now a name, and come back to it whenever you like. Going back loses nothing: Undo leads here again.</p>
        <div class="past-name">
          <Typed key={KEY} label="called" value="" placeholder={usual()} wide enter most={80} take={(text, answer) => keep(text, answer)} />
          <button type="button" class="key" aria-disabled={!up()} onClick={() => keep(draft(KEY)?.trim() || usual())}>
            Keep it
          </button>
        </div>
        <For each={named()}>{(entry) => <Named entry={entry} />}</For>
        <h2 class="section">Every change</h2>
        <ol class="plain past-list">
          <For each={past()?.entries}>{(entry) => <Change entry={entry} />}</For>
        </ol>
        <Show when={past()?.older}>
          {(older) => (
            <p class="fact">
              {count(older())} older {older() === 1 ? 'one is' : 'ones are'} told by <code>lanthorn history</code>.
            </p>
          )}
        </Show>
      </Show>
      <div class="acts">
        <button type="button" class="key" onClick={() => setOver(null)}>
          Close the history
        </button>
      </div>
    </section>
  );
}

/** A moment with a name, and what is otherwise since. */
function Named(props: { entry: EntryView }) {
  const name = () => props.entry.bookmarks.map(capital).join(', ');
  return (
    <article class="item past-named" classList={{ on: props.entry.standing === 'now' }}>
      <h2 class="subtitle">{name()}</h2>
      <p class="fact">
        {sayWhen(props.entry.when, new Date())}
        {props.entry.since.length === 0 ? ', the show is as it was then' : ', and since then:'}
      </p>
      <Show when={props.entry.since.length > 0}>
        <ul class="plain">
          <For each={props.entry.since}>{(line) => <li class="saying small">{capital(line)}</li>}</For>
        </ul>
        <Show when={props.entry.since_more > 0}>
          <p class="fact">and {count(props.entry.since_more)} more</p>
        </Show>
        <div class="acts">
          <Act label={`Go back to it: ${name()}`} press={() => restore(props.entry.id)}>
            Go back to it
          </Act>
        </div>
      </Show>
    </article>
  );
}

function Change(props: { entry: EntryView }) {
  const facts = () => [sayWhen(props.entry.when, new Date()), props.entry.who, ...(props.entry.standing === 'aside' ? ['undone'] : []), ...props.entry.bookmarks.map((name) => `“${name}”`)].join(', ');
  return (
    <li class="past-change" classList={{ aside: props.entry.standing === 'aside' }} aria-current={props.entry.standing === 'now' ? 'true' : undefined}>
      <div>
        <p class="saying small">{props.entry.says}</p>
        <p class="fact">{facts()}</p>
      </div>
      <Show when={props.entry.standing !== 'now'} fallback={<span class="fact past-now">as it is now</span>}>
        <Act label={`Back to here: ${props.entry.says}`} press={() => restore(props.entry.id)}>
          Back to here
        </Act>
      </Show>
    </li>
  );
}
