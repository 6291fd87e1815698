import { For, Show } from 'solid-js';
import { letGo, lowered, wholeGroups } from '../act';
import { begin, canMake } from '../making';
import { held, lookOf, now, scene, stage, taken, up } from '../state';
import type { LookView } from '../wire.gen';
import { capital, clock, groupsAt, lettersIn, lights, withoutName } from '../words';
import { ChasePace } from './ChasePace';
import { ChaseStrokes } from './ChaseStrokes';
import { Sentence } from './Sentence';

/** Longer looks are told by their name: Go must stay in sight. The looks have all of it. */
const MOST_LETTERS = 240;

/** What is on: its name as the largest thing, then told in sentences, or briefly by names; strokes where steps run. */
export function NowOn(props: { brief?: boolean; strokes?: boolean }) {
  const cue = () => (now.cue === null ? undefined : scene()?.cues[now.cue]);
  const since = () => (now.cue === null ? undefined : taken[now.cue]);
  const look = () => (now.look ? lookOf(now.look) : undefined);
  const chases = () => now.chases.flatMap((on) => scene()?.chases.find((chase) => chase.name === on.name) ?? []);
  const name = () => cue()?.name ?? now.look ?? now.chases[0]?.name ?? 'nothing is on';
  /** What the brief line names; nothing when that would only say the title again. */
  const parts = () => {
    const all = [...(look() ? [look()!] : []), ...chases()];
    return all.length === 1 && all[0]?.name === name() ? [] : all;
  };
  const brief = () => props.brief || lettersIn(look()?.words.flat() ?? []) > MOST_LETTERS;

  return (
    <section class="now" aria-label="Now">
      <p class="label">
        Now<Show when={props.brief && since()}>{(time) => <>, since {clock(time())}</>}</Show>
        <Show when={now.blackout}>, in blackout</Show>
        <Show when={now.stillness}>, held still</Show>
      </p>
      <h1 class="title" classList={{ long: name().length > 28 }}>
        {capital(name())}
      </h1>
      <span class="fade" aria-hidden="true" style={{ transform: `scaleX(${now.fade < 1 ? now.fade : 0})` }} />
      <p class="saying" classList={{ small: !brief() }}>
        <Show when={brief()} fallback={<LookWords look={look()} name={name()} />}>
          <For each={parts()}>
            {(part, index) => (
              <>
                {index() === 0 ? '' : ', '}
                <Coloured name={index() === 0 ? capital(part.name) : part.name} colours={part.colours} />
              </>
            )}
          </For>
        </Show>
      </p>
      <Show when={props.strokes}>
        <For each={chases()}>
          {(chase) => (
            <div class="running">
              <Show when={!brief()}>
                <p class="saying small">
                  <Show when={chase.name !== name()}>
                    <b>{capital(chase.name)}.</b>{' '}
                  </Show>
                  <Sentence words={withoutName(chase.words, chase.name)} />
                </p>
              </Show>
              <ChaseStrokes chase={chase} named={brief() && chases().length > 1} />
              <ChasePace name={chase.name} />
            </div>
          )}
        </For>
      </Show>
      <Show when={lowered().length > 0}>
        <p class="saying small lowered">
          {capital(groupsAt(lowered()))}.{' '}
          <button type="button" class="handle inline" aria-disabled={!up()} onClick={wholeGroups}>
            Back to 100&nbsp;%
          </button>
        </p>
      </Show>
      <Show when={held().length > 0}>
        <p class="saying small">
          {capital(lights(held()))} {held().length === 1 ? 'is' : 'are'} in your hand.{' '}
          <button type="button" class="handle inline" onClick={() => letGo()}>
            Let go of {held().length === 1 ? 'it' : 'all'}
          </button>
          <Show when={canMake() && stage() === 'room'}>
            {' '}
            <button type="button" class="handle inline" onClick={() => begin('keep')}>
              Keep what is lit
            </button>
          </Show>
        </p>
      </Show>
    </section>
  );
}

/** A look's sentences after its name, unless its name is the title already. */
function LookWords(props: { look: LookView | undefined; name: string }) {
  return (
    <Show when={props.look}>
      {(look) => (
        <>
          <Show when={look().name !== props.name}>
            <b>{capital(look().name)}.</b>{' '}
          </Show>
          <For each={look().words}>
            {(sentence) => (
              <>
                <Sentence words={sentence} />{' '}
              </>
            )}
          </For>
        </>
      )}
    </Show>
  );
}

/** A look or chase as one word, underlined in the colours that it shows. */
function Coloured(props: { name: string; colours: readonly string[] }) {
  const stripe = () => {
    const shown = props.colours.slice(0, 6);
    const at = (i: number) => `${(i / shown.length) * 100}%`;
    return shown.length === 0
      ? 'none'
      : `linear-gradient(90deg, ${shown.map((colour, i) => `${colour} ${at(i)} ${at(i + 1)}`).join(', ')})`;
  };
  return (
    <span class="colours" style={{ 'background-image': stripe() }}>
      {props.name}
    </span>
  );
}
