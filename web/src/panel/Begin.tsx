import { createMemo, createUniqueId, For, Index, Show, type JSX } from 'solid-js';
import {
  add, answer, ask, begin, chosen, follow, MOST, refusedTo, remove, room, setCount, setPlace, setRoom, setTyped, step, typed, whole,
  type Typed,
} from '../begin';
import { scene, up } from '../state';
import { capital, plural } from '../words';
import { FindKind } from './Kinds';
import { Choice } from './make/Opens';

/** Four questions as sentences; what comes of them stands in the room before it is taken. */
export function Begin() {
  follow();
  const wrong = createMemo(() => {
    const now = ask();
    if (typeof now === 'string') return now;
    return refusedTo() || answer()?.refused?.why || '';
  });
  // What has not been answered yet may be begun all the same: a show that cannot be is refused with the reason.
  const ready = () => up() && chosen.length > 0 && !wrong();
  const rest = () => answer()?.kinds.filter((kind) => !chosen.some((one) => one.profile === kind.name)) ?? [];
  // The show's own room may be one of those that have a name.
  const others = () => answer()?.rooms.filter((one) => one.name !== answer()?.here.name || one.says !== answer()?.here.says) ?? [];
  return (
    <div class="begin">
      <p class="label">{capital(scene()?.show ?? '')}, a first show</p>
      <h1 class="title">Nothing hangs here yet</h1>

      <Question words="What lights do you have, how many, and where do they go?">
        <ul class="plain begin-lights">
          <Index each={chosen}>
            {(one, at) => {
              const name = () => plural(one().profile, whole(one().count) ?? 2);
              return (
                <li class="begin-light">
                  <button type="button" class="begin-step" aria-label={`One ${one().profile} fewer`} onClick={() => step(at, -1)}>
                    −
                  </button>
                  <input
                    type="text"
                    inputmode="numeric"
                    class="begin-count"
                    aria-label={`How many ${plural(one().profile, 2)}, 1 to ${MOST}`}
                    value={one().count}
                    onInput={(event) => setCount(at, event.currentTarget.value)}
                  />
                  <button type="button" class="begin-step" aria-label={`One ${one().profile} more`} onClick={() => step(at, 1)}>
                    +
                  </button>
                  <span class="saying begin-name">{name()}</span>
                  <select
                    class="begin-place"
                    aria-label={`Where the ${plural(one().profile, 2)} go`}
                    value={one().place}
                    onChange={(event) => setPlace(at, event.currentTarget.value)}
                  >
                    <option value="">where best</option>
                    <For each={answer()?.places ?? []}>{(place) => <option value={place}>on the {place}</option>}</For>
                  </select>
                  <button type="button" class="handle begin-away" aria-label={`Remove ${plural(one().profile, 2)}`} onClick={() => remove(at)}>
                    Remove
                  </button>
                </li>
              );
            }}
          </Index>
        </ul>
        <div class="begin-choices" role="group" aria-label={chosen.length > 0 ? 'Other kinds of light' : 'Kinds of light'}>
          <For each={rest().filter((kind) => kind.usual)}>
            {(kind) => (
              <Choice on={false} press={() => add(kind.name)} label={`Add ${kind.name}`}>
                {kind.name}
              </Choice>
            )}
          </For>
        </div>
        <Show when={rest().some((kind) => !kind.usual)}>
          <FindKind kinds={rest()} press={add} />
        </Show>
      </Question>

      <Question words="In which room?">
        <div class="begin-choices" role="group" aria-label="Rooms">
          <Show when={answer()}>
            {(it) => (
              <Choice on={room() === null} press={() => setRoom(null)}>
                {it().here.name}, as it is
              </Choice>
            )}
          </Show>
          <For each={others()}>
            {(known) => (
              <Choice on={room() === known.name} press={() => setRoom(known.name)}>
                {known.name}
              </Choice>
            )}
          </For>
          <Choice on={room() === 'own'} press={() => setRoom('own')}>
            your own measures
          </Choice>
        </div>
        <Show when={room() === 'own'} fallback={<p class="fact">{roomSays()}</p>}>
          <Measures />
        </Show>
      </Question>

      <div role="status">
        <Show when={wrong()} fallback={<For each={answer()?.preview?.says ?? []}>{(says, at) => <p class="saying small" classList={{ soft: at() > 0 }}>{says}</p>}</For>}>
          <p class="why">{wrong()}</p>
        </Show>
      </div>
      <div class="begin-acts">
        <button type="button" class="key begin-take" aria-disabled={!ready()} onClick={() => ready() && begin()}>
          Begin with {chosen.length > 0 ? 'these lights' : 'some lights'}
        </button>
        <span class="fact">
          {chosen.length > 0
            ? 'Where lights hang is a proposal. Undo takes it all back.'
            : 'Choose a kind of light: the room shows at once what comes of it.'}
        </span>
      </div>
    </div>
  );
}

/** The measures of the room that is chosen, to be checked on the spot. */
function roomSays(): string {
  const it = answer();
  const known = room() === null ? it?.here : it?.rooms.find((one) => one.name === room());
  return known ? `${known.says}${room() === null ? '' : ': measure yours on the spot'}` : '';
}

function Question(props: { words: string; children: JSX.Element }) {
  const id = createUniqueId();
  return (
    <section class="begin-question" aria-labelledby={id}>
      <h2 class="subtitle" id={id}>
        {props.words}
      </h2>
      {props.children}
    </section>
  );
}

/** One's own room, in metres. */
function Measures() {
  const field = (key: Exclude<keyof Typed, 'side'>, words: string) => (
    <label class="begin-metres fact">
      {words}
      <input type="text" inputmode="decimal" value={typed[key]} onInput={(event) => setTyped(key, event.currentTarget.value)} />
      <span aria-hidden="true">m</span>
    </label>
  );
  return (
    <div class="begin-measures" role="group" aria-label="Your own measures, in metres">
      {field('width', 'Wide')}
      {field('depth', 'Deep')}
      {field('height', 'High')}
      <label class="begin-metres fact">
        Stage
        <select value={typed.side} onChange={(event) => setTyped('side', event.currentTarget.value as Typed['side'])}>
          <option value="none">none</option>
          <option value="end">at the end</option>
          <option value="side">at the side</option>
        </select>
      </label>
      <Show when={typed.side !== 'none'}>
        {field('stageDepth', 'Stage deep')}
        {field('stageHeight', 'Stage high')}
      </Show>
    </div>
  );
}
