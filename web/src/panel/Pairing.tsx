import { createSignal, Show } from 'solid-js';
import { asked } from '../door';
import { knock } from '../state';

/** What a browser sees that is not paired: a place for the code, and nothing else. */
export function Pairing() {
  const [code, setCode] = createSignal('');
  const [name, setName] = createSignal('');
  const waits = () => asked()?.wait_s ?? 0;
  const whole = () => code().replace(/[^0-9A-Za-z]/g, '').length === 6;
  const submit = (event: SubmitEvent) => {
    event.preventDefault();
    if (whole() && waits() === 0) knock({ type: 'pair', code: code(), name: name() });
  };
  return (
    <main class="pairing">
      <h1 class="title">Pair this browser</h1>
      <p class="saying small">
        Type the six characters that the laptop shows, in its terminal or under Rig, or point this phone’s camera at the pattern
        beside them.
      </p>
      <form onSubmit={submit}>
        <label>
          <span class="label">Code</span>
          <input
            type="text"
            class="pair-code"
            value={code()}
            onInput={(event) => setCode(event.currentTarget.value)}
            autocomplete="off"
            autocapitalize="characters"
            spellcheck={false}
            maxLength={9}
            required
          />
        </label>
        <label>
          <span class="label">What to call this browser, if you like</span>
          <input
            type="text"
            value={name()}
            onInput={(event) => setName(event.currentTarget.value)}
            autocomplete="off"
            maxLength={40}
            placeholder="Ann’s phone"
          />
        </label>
        <button type="submit" class="pair-key" aria-disabled={!whole() || waits() > 0}>
          Pair
        </button>
      </form>
      <p class="pair-says" role="status">
        {asked()?.says}
        <Show when={waits() > 0}> Codes are heard again in {waits()} s.</Show>
      </p>
      <p class="fact caution">
        Whoever is paired can move and light what hangs over people. Nothing on this network is encrypted: pair only where you
        would lend the laptop itself.
      </p>
    </main>
  );
}
