import { createSignal, For, onCleanup, Show } from 'solid-js';
import { placeInBar } from '../music';
import { shortcuts } from '../mykeys';
import { openScore, scores } from '../score';
import { calm, held, met, now, over, scene, setOver, setTheme, theme, up } from '../state';
import { clock, count, heldBack, lights, percent, tempo } from '../words';
import { MusicHandle } from './Music';

/** What the foot row says: the pulse, the flash limit, the hand, the outputs, how the machine keeps time. */
export function Foot() {
  return (
    <div class="foot-facts fact">
      <LinkWords />
      <Show when={up()}>
        <PulseFacts />
        <MachineFacts />
      </Show>
      <PageHandles />
    </div>
  );
}

/** Touch lost, or not yet found. Said aloud by screen readers when it changes. */
export function LinkWords() {
  return (
    <span class="link-words" role="status">
      <Show when={!up()}>
        {met() ? 'This page has lost touch; the lights go on without it' : 'Looking for the machine that runs the lights'}
      </Show>
    </span>
  );
}

/** Tempo, flash limit, what is in hand. */
export function PulseFacts() {
  return (
    <>
      <span>
        <b>{tempo(now.tempo_bpm)}</b> a minute, beat {placeInBar().place}
      </span>
      <Show when={scene()}>
        {(it) => (
          <span>
            <b>{calm()?.flashes.rate ?? 0}</b> flashes in the last second, at most <b>{it().flash_limit_hz}</b>
            <Show when={it().flash_reason}>, agreed: {it().flash_reason}</Show>
          </span>
        )}
      </Show>
      <Show when={calm()?.flashes.acts}>
        <span>{heldBack(calm()!.flashes.held, calm()!.flashes.slowed)}</span>
      </Show>
      <Show when={now.master < 0.995}>
        <span>
          master <b>{percent(now.master)}</b>
        </span>
      </Show>
      <Show when={held().length > 0}>
        <span>
          {lights(held())} {held().length === 1 ? 'is' : 'are'} in <b>your hand</b>
        </span>
      </Show>
    </>
  );
}

/** Outputs in their own words, and the loop's rate and late ticks. */
export function MachineFacts() {
  const link = () => calm()?.link;
  return (
    <Show when={link()}>
      {(it) => (
        <>
          <For each={it().outputs} fallback={<span>stand-in only</span>}>
            {(output) => (
              <span>
                <b>{output.name}</b>
                {output.ok ? '' : ', not working'}
                {output.words ? `, ${output.words}` : ''}
              </span>
            )}
          </For>
          <span class="foot-rate">
            <span>{count(it().rate_hz)} frames a second</span>
            <Show when={it().late > 0}>
              <span>
                <b>{count(it().late)}</b> {it().late === 1 ? 'frame' : 'frames'} late
              </span>
            </Show>
          </span>
        </>
      )}
    </Show>
  );
}

/** Words about the page itself: its colours, its keys. */
export function PageHandles() {
  const other = () => (theme() === 'neutral' ? 'amber' : 'neutral');
  return (
    <>
      <button type="button" class="handle inline" onClick={() => setTheme(other())}>
        {other() === 'amber' ? 'Amber page' : 'Neutral page'}
      </button>
      <MusicHandle />
      <Show when={scores().length > 0}>
        <button type="button" class="handle inline" aria-expanded={over() === 'score'} onClick={() => (over() === 'score' ? setOver(null) : openScore(null))}>
          Track
        </button>
      </Show>
      <button type="button" class="handle inline" aria-keyshortcuts={shortcuts('keys')} aria-expanded={over() === 'keys'} onClick={() => setOver(over() === 'keys' ? null : 'keys')}>
        Keys
      </button>
    </>
  );
}

/** The time of day. */
export function Clock() {
  const [time, setTime] = createSignal(new Date());
  const timer = setInterval(() => setTime(new Date()), 5000);
  onCleanup(() => clearInterval(timer));
  return <time class="clock fact">{clock(time())}</time>;
}
