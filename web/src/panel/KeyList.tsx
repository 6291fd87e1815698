import { createSignal, For, Show } from 'solid-js';
import { isUsual, sayChord, whyNot, wish, without, type Wish } from '../bindings';
import { ACTIONS, chordOf, FIXED_KEYS, type Action } from '../keys';
import { bindings, keysOf, keysWrong, saidKeys, setBindings, usualKeys } from '../mykeys';
import { letters, setLetters, setOver } from '../state';
import { Controller } from './Controller';

/** The keys, set on the page: which they are, and other ones for whoever wants them. */
export function KeyList() {
  const [open, setOpen] = createSignal<string | null>(null);
  const [said, setSaid] = createSignal('');
  return (
    <section class="key-list">
      <h1 class="title">Keys</h1>
      <p class="saying small soft">Choose a line and press another key for it. Keys are kept in this browser.</p>
      <p class="saying small bright" role="status">
        {said()}
      </p>
      <ul class="key-rows">
        <For each={ACTIONS}>
          {(action) => <Row action={action} open={open() === action.id} setOpen={(on) => setOpen(on ? action.id : null)} say={setSaid} />}
        </For>
      </ul>
      <div class="acts">
        <button
          type="button"
          class="key"
          aria-disabled={isUsual(bindings()) && !keysWrong()}
          onClick={() => {
            setOpen(null);
            usualKeys();
            setSaid('All keys are the usual ones.');
          }}
        >
          Set all keys back
        </button>
        <button type="button" class="key" onClick={() => setOver(null)}>
          Close this list
        </button>
      </div>
      <h2 class="key-part">Always</h2>
      <dl>
        <For each={FIXED_KEYS}>
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
        </button>
      </p>
      <Controller />
    </section>
  );
}

type RowProps = { action: Action; open: boolean; setOpen: (on: boolean) => void; say: (words: string) => void };

function Row(props: RowProps) {
  let row!: HTMLButtonElement;
  return (
    <li data-action={props.action.id}>
      <button ref={row} type="button" class="key-row" aria-expanded={props.open} onClick={() => (props.say(''), props.setOpen(!props.open))}>
        <span class="key-name">{saidKeys(props.action.id)}</span> <span>{props.action.does}</span>
      </button>
      <Show when={props.open}>
        <Catch
          action={props.action}
          say={props.say}
          shut={() => {
            props.setOpen(false);
            row.focus({ preventScroll: true });
          }}
        />
      </Show>
    </li>
  );
}

/** Waits for the new key. A field, so that what is pressed in it means nothing else; without it Tab still leads on. */
function Catch(props: { action: Action; say: (words: string) => void; shut: () => void }) {
  const [taken, setTaken] = createSignal<(Wish & { is: 'taken'; chord: string }) | null>(null);
  const [refused, setRefused] = createSignal('');
  const usual = () => props.action.usual;

  const take = (next: Parameters<typeof setBindings>[0], words: string) => {
    setBindings(next);
    props.say(words);
    props.shut();
  };
  const ask = (chord: string) => {
    const answer = wish(bindings(), props.action.id, chord);
    setRefused(answer.is === 'refused' ? answer.why : '');
    setTaken(answer.is === 'taken' ? { ...answer, chord } : null);
    if (answer.is === 'free') take(answer.bindings, `${sayChord(chord)}: ${props.action.does}.`);
  };
  const caught = (event: KeyboardEvent) => {
    const chord = chordOf(event);
    if (chord !== null && /Tab$/.test(chord)) return;
    event.stopPropagation();
    if (event.key === 'Escape') return props.shut();
    // The browser keeps what is its own.
    if (chord === null || !/^Ctrl|^F\d/.test(chord) || !whyNot(props.action, chord)) event.preventDefault();
    if (chord !== null && !event.repeat) ask(chord);
  };
  const escaped = (event: KeyboardEvent) => {
    if (event.key !== 'Escape') return;
    event.stopPropagation();
    props.shut();
  };
  const swap = () => {
    const it = taken();
    if (it?.swapped) take(it.swapped, `${sayChord(it.chord)}: ${props.action.does}. Changed: ${it.by.does}, ${saidAfter(it.swapped.get(it.by.id))}.`);
  };
  const setBack = () => {
    const chord = usual()[0];
    if (chord === undefined) return;
    const answer = wish(bindings(), props.action.id, chord);
    if (answer.is === 'free') take(new Map([...answer.bindings, [props.action.id, usual().filter((one) => !takenByOther(one, props.action.id))]]), `${sayChord(chord)}: ${props.action.does}.`);
    else ask(chord);
  };
  const noKey = () => {
    const next = without(bindings(), props.action.id);
    if (next) take(next, `No key: ${props.action.does}.`);
  };
  const changed = () => keysOf(props.action.id).join() !== usual().join();

  return (
    <div class="key-editor" on:keydown={escaped}>
      <input
        ref={(field) => setTimeout(() => field.focus({ preventScroll: true }))}
        class="key-catch"
        readonly
        aria-label={`New key for: ${props.action.does}`}
        placeholder="Press the new key"
        on:keydown={caught}
      />
      <p class="saying small" role="status">
        <Show when={taken()} fallback={refused()}>
          {(it) => `${sayChord(it().chord)} is taken: ${it().by.does}. ${it().why || `Swapped, that gets ${saidAfter(it().swapped?.get(it().by.id))}.`}`}
        </Show>
      </p>
      <div class="acts">
        <Show when={taken()?.swapped}>
          <button type="button" class="key" onClick={swap}>
            Swap them
          </button>
        </Show>
        <Show when={changed()}>
          <button type="button" class="key" onClick={setBack}>
            Back to {usual().map(sayChord).join(' or ')}
          </button>
        </Show>
        <Show when={!props.action.must && keysOf(props.action.id).length > 0}>
          <button type="button" class="key" onClick={noKey}>
            No key
          </button>
        </Show>
        <button type="button" class="key" onClick={() => props.shut()}>
          {taken() ? 'Leave both' : 'Leave it'}
        </button>
      </div>
      <Show when={props.action.must}>
        <p class="fact">A stop key can be moved, and is never without a key.</p>
      </Show>
    </div>
  );
}

const saidAfter = (chords: readonly string[] | undefined) => (chords && chords.length > 0 ? chords.map(sayChord).join(' or ') : 'no key');

function takenByOther(chord: string, id: string): boolean {
  return ACTIONS.some((other) => other.id !== id && keysOf(other.id).includes(chord));
}
