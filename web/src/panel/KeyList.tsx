import { For } from 'solid-js';
import { KEY_LIST } from '../keys';
import { letters, setLetters, setOver } from '../state';

/** The keys, set on the page. */
export function KeyList() {
  return (
    <section class="key-list">
      <h1 class="title">Keys</h1>
      <dl>
        <For each={KEY_LIST}>
          {([keys, does]) => (
            <>
              <dt>{keys}</dt>
              <dd>{does}</dd>
            </>
          )}
        </For>
      </dl>
      <p class="saying small">
        Single letters and digits are {letters() ? 'in force' : 'switched off'}.{' '}
        <button type="button" class="handle inline" onClick={() => setLetters(!letters())}>
          {letters() ? 'Switch them off' : 'Switch them on'}
        </button>{' '}
        <button type="button" class="handle inline" onClick={() => setOver(null)}>
          Close this list
        </button>
      </p>
    </section>
  );
}
