import { createEffect, For, Show } from 'solid-js';
import { takeCue } from '../act';
import { now, scene, taken, up } from '../state';
import type { CueView } from '../wire.gen';
import { capital, clock, seconds } from '../words';
import { Go } from './Go';
import { Sentence } from './Sentence';

/** The cue list as a programme; a tap takes a cue. Go and Back stay under it. */
export function Cues() {
  const cues = () => scene()?.cues ?? [];
  return (
    <div class="programme">
      <Show when={cues().length === 0}>
        <p class="saying">The evening is blank. What happens first?</p>
      </Show>
      <ol class="programme-list">
        <For each={cues()}>{(cue, index) => <CueRow cue={cue} index={index()} />}</For>
      </ol>
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

function CueRow(props: { cue: CueView; index: number }) {
  const on = () => now.cue === props.index;
  const next = () => now.next_cue === props.index;
  let row!: HTMLLIElement;
  // The cue that is on stands in view, two rows down.
  createEffect(() => {
    const column = row.closest('.column');
    if (on() && column) requestAnimationFrame(() => (column.scrollTop = row.offsetTop - 130));
  });
  return (
    <li class="cue" ref={row} classList={{ on: on(), gone: now.cue !== null && props.index < now.cue }}>
      <span class="hour">
        <Show when={(on() || (now.cue !== null && props.index < now.cue)) && taken[props.index]}>{(time) => clock(time())}</Show>
      </span>
      <span class="cue-number">{props.cue.number}</span>
      <div class="cue-text">
        <h2>
          <button
            type="button"
            class="cover"
            aria-current={on() ? 'step' : undefined}
            aria-disabled={!up()}
            onClick={() => takeCue(props.index)}
          >
            {capital(props.cue.name)}
          </button>
          <Show when={on()}>
            <span class="fact bright"> on now</span>
          </Show>
          <Show when={next()}>
            <span class="fact"> next</span>
          </Show>
        </h2>
        <p>
          <Sentence words={props.cue.words} />{' '}
          <Show when={props.cue.follow_s !== null}>
            <span class="soft">The one after follows by itself in {seconds(props.cue.follow_s ?? 0)}. </span>
          </Show>
          <Show when={props.cue.note}>
            <em>{capital(props.cue.note.replace(/\.$/, ''))}.</em>
          </Show>
        </p>
      </div>
    </li>
  );
}
