import { For, onMount, Show } from 'solid-js';
import { backOne, check, endCheck, openCheck, againCheck } from '../../setup';
import { setSetUp, up } from '../../state';
import type { CauseView } from '../../wire.gen';
import { list } from '../../words';
import { Great } from '../Sight';
import { toTop } from './SetUp';

/** What the line check found, and what to do about each thing. */
export function CheckFound() {
  onMount(toTop);
  const causes = () => check()?.causes ?? [];
  const standing = (stands: string) => (check()?.standings ?? []).filter((one) => one.stands === stands).map((one) => one.unit);
  const right = () => standing('right');
  const asked = () => (check()?.answered ?? 0) > 0;
  return (
    <div class="sight check">
      <div class="sight-words">
        <p class="label">
          Line check, {check()?.answered} {check()?.answered === 1 ? 'answer' : 'answers'}
        </p>
        <h1 class="title" aria-live="polite">
          {!asked() ? 'Nothing was asked yet' : causes().length === 0 ? 'Nothing wrong was seen' : causes().length === 1 ? 'One thing to mend' : `${causes().length} things to mend`}
        </h1>
        <ol class="plain check-causes">
          <For each={causes()}>{(cause) => <Cause cause={cause} />}</For>
        </ol>
        <Show when={right().length > 0}>
          <p class="saying small">
            <Show when={causes().length > 0} fallback="Every light that was asked about did what it should, as far as can be seen.">
              As it should, as far as can be seen: {list(right())}.
            </Show>
          </p>
        </Show>
        <Show when={standing('unreached').length > 0}>
          <p class="saying small">Not known until the line is mended: {list(standing('unreached'))}.</p>
        </Show>
        <Show when={standing('open').length > 0 && asked()}>
          <p class="saying small">Not certain: {list(standing('open'))}.</p>
        </Show>
        <Show when={standing('not asked').length > 0}>
          <p class="fact">Not asked about, for they give no light or are not driven: {list(standing('not asked'))}.</p>
        </Show>
        <p class="fact caution">
          It tells what lights do, and what that is likeliest to come from; it sees neither mains nor fixings. What lies behind a plug or
          inside a light is for a competent person.
        </p>
        <Show when={check()?.open}>
          <p class="set-up-more">
            <button type="button" class="handle" aria-disabled={!up()} onClick={backOne}>
              Take the last answer back
            </button>
            <button type="button" class="handle" aria-disabled={!up()} onClick={againCheck}>
              From the beginning
            </button>
          </p>
        </Show>
      </div>
      <Show
        when={check()?.open}
        fallback={
          <Great
            words={causes().length > 0 ? 'Check again' : 'Check once more'}
            fact="when it is mended"
            press={openCheck}
            beside={{ words: 'Cards', press: () => setSetUp('lights') }}
          />
        }
      >
        <Great words="Done" fact="the lights go back to the show" press={endCheck} beside={{ words: 'Cards', press: () => setSetUp('lights') }} />
      </Show>
    </div>
  );
}

function Cause(props: { cause: CauseView }) {
  return (
    <li class="check-cause" classList={{ sure: props.cause.sure }}>
      <p class="subtitle">
        <Show when={!props.cause.sure}>Perhaps: </Show>
        {props.cause.says}
      </p>
      <p class="saying small">{props.cause.remedy}</p>
      <Show when={props.cause.or.length > 0}>
        <p class="fact">Or: {props.cause.or.join(' Or: ')}</p>
      </Show>
    </li>
  );
}
