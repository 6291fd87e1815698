import { createEffect, createMemo, For, Show } from 'solid-js';
import { takeCue } from '../act';
import { begin, canMake, cueAt, field, idsOf, lasting, open, placeOf } from '../making';
import { now, scene, taken, up } from '../state';
import { capital, clock, seconds } from '../words';
import { Go } from './Go';
import { FormWord } from './Looks';
import { Change, dragging } from './make/Acts';
import { CueMaking } from './make/CueMaking';
import { NewCue } from './make/NewCue';
import { Sentence } from './Sentence';

/** The cue list as a programme: a tap takes a cue, and one at a time is open for making. Go and Back stay under it. */
export function Cues() {
  const cues = () => scene()?.cues ?? [];
  return (
    <div class="programme">
      <Show when={cues().length === 0}>
        <Empty />
      </Show>
      <ol class="programme-list">
        <For each={idsOf('cue')}>{(id) => <CueRow id={id} />}</For>
      </ol>
      <Show when={canMake() && cues().length > 0}>
        <div class="acts cue-add">
          <FormWord form="new cue">Add a cue</FormWord>
        </div>
      </Show>
      <Show when={field() === 'new cue'}>
        <NewCue after={cues().at(-1)?.number ?? null} />
      </Show>
      <Show when={cues().length > 0}>
        <div class="programme-go">
          <p class="fact">
            <Show when={now.next_cue !== null && cues()[now.next_cue]} fallback="That was the last cue of the evening.">
              {(next) => (
                <>
                  Next, cue {next().number}: {capital(next().name)}
                </>
              )}
            </Show>
          </p>
          <Go />
        </div>
      </Show>
    </div>
  );
}

function Empty() {
  const looks = () => scene()?.looks.length ?? 0;
  return (
    <div class="first">
      <p class="saying">
        The evening is blank. What happens first?
        {looks() === 0 ? ' A cue puts on a look, so a look comes first.' : ''}
      </p>
      <Show when={canMake() && field() !== 'new cue'}>
        <button type="button" class="key great" onClick={() => begin(looks() === 0 ? 'new look' : 'new cue')}>
          {looks() === 0 ? 'Make the first look' : 'Add the first cue'}
        </button>
      </Show>
    </div>
  );
}

function CueRow(props: { id: number }) {
  const cue = lasting(() => cueAt(props.id));
  const index = createMemo<number>((before) => {
    const at = placeOf('cue', props.id);
    return at < 0 ? before : at;
  }, 0);
  const opened = () => canMake() && open.cue === props.id;
  const on = () => now.cue === index();
  const next = () => now.next_cue === index();
  let row!: HTMLLIElement;
  // The cue that is on stands in view, two rows down, unless something is being written.
  createEffect(() => {
    const column = row.closest('.column');
    if (on() && column) requestAnimationFrame(() => open.cue === null && field() === null && (column.scrollTop = row.offsetTop - 130));
  });
  return (
    <li
      class="cue"
      ref={row}
      classList={{ on: on(), gone: now.cue !== null && index() < now.cue, making: opened(), made: canMake() }}
      data-item={`cue ${props.id}`}
      {...dragging('cue', props.id, () => canMake() && !opened())}
    >
      <span class="hour">
        <Show when={(on() || (now.cue !== null && index() < now.cue)) && taken[index()]}>{(time) => clock(time())}</Show>
      </span>
      <span class="cue-number">{cue().number}</span>
      <div class="cue-text">
        <Show when={!opened()} fallback={<CueMaking id={props.id} cue={cue()} index={index()} />}>
          <div class="item-head">
            <h2>
              <button type="button" class="cover" aria-current={on() ? 'step' : undefined} aria-disabled={!up()} onClick={() => takeCue(index())}>
                {capital(cue().name || 'A cue without a name')}
              </button>
              <Show when={on()}>
                <span class="fact bright"> on now</span>
              </Show>
              <Show when={next()}>
                <span class="fact"> next</span>
              </Show>
            </h2>
            <Show when={canMake()}>
              <Change kind="cue" id={props.id} name={`cue ${cue().number}, ${cue().name}`} />
            </Show>
          </div>
          <p>
            <Sentence words={cue().words} />{' '}
            <Show when={cue().follow_s !== null && !canMake()}>
              <span class="soft">The one after follows by itself in {seconds(cue().follow_s ?? 0)}. </span>
            </Show>
            <Show when={cue().note}>
              <em>{capital(cue().note.replace(/\.$/, ''))}.</em>
            </Show>
          </p>
        </Show>
      </div>
    </li>
  );
}
