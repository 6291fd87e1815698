import { createEffect, For, Index, on, Show } from 'solid-js';
import { at, check, lastTick, nextCard, openCard, openCheck, place, places, tick, untick, untickAll } from '../../setup';
import { setSetUp, settingUp, up } from '../../state';
import type { SetUpStep } from '../../wire.gen';
import { capital } from '../../words';
import { Great } from '../Sight';
import { toTop } from './SetUp';

/** What is to be done to one light after the other, along each line; every tick is kept. */
export function SetUpLights() {
  createEffect(on(() => place()?.card.unit, toTop));
  return (
    <div class="sight set-up">
      <div class="sight-words">
        <p class="label">
          {place() ? capital(place()!.part.title) : 'Set up'}, {settingUp()?.done} of {settingUp()?.of} lights done
        </p>
        <Show when={place()} fallback={<p class="saying">There are no lights yet.</p>}>
          <Numbers />
          <Card />
        </Show>
        <p class="set-up-more">
          <Show when={lastTick()}>
            <button type="button" class="handle" aria-disabled={!up()} onClick={untick}>
              Take the last tick back
            </button>
          </Show>
          <button type="button" class="handle" aria-disabled={!up()} onClick={untickAll}>
            Untick all
          </button>
          <button type="button" class="handle" onClick={openCheck}>
            {check()?.open ? 'Go on with the line check' : 'Line check'}
          </button>
        </p>
        <Show when={settingUp()?.says}>{(says) => <p class="saying small bright">{says()}</p>}</Show>
      </div>
      <Foot />
    </div>
  );
}

/** Every light by its number, in the order of the work; those that are done have a tick. */
function Numbers() {
  return (
    <ol class="set-up-numbers" aria-label="Lights in the order of the line">
      <Index each={places()}>
        {(it, index) => (
          <li>
            <button
              type="button"
              class="set-up-number"
              classList={{ done: it().card.done }}
              aria-current={index === at() ? 'step' : undefined}
              onClick={() => openCard(it().card.unit)}
            >
              {it().card.unit}
              <Show when={it().card.done}>
                <Tick />
                <span class="unseen">, done</span>
              </Show>
            </button>
          </li>
        )}
      </Index>
    </ol>
  );
}

function Card() {
  const card = () => place()!.card;
  return (
    <>
      <h1 class="title">
        Light {card().unit} <span class="set-up-kind">{card().title}</span>
      </h1>
      <Show when={place()!.part.says.length > 0}>
        <For each={place()!.part.says}>
          {(says) => (
            <p class="saying small" classList={{ bright: place()!.part.refused, soft: !place()!.part.refused }}>
              {says}
            </p>
          )}
        </For>
      </Show>
      <ul class="plain set-up-steps" aria-label={`What is to be done to light ${card().unit}`}>
        <Index each={card().steps}>{(step) => <Step step={step()} />}</Index>
      </ul>
    </>
  );
}

function Step(props: { step: SetUpStep }) {
  return (
    <li>
      <button
        type="button"
        class="set-up-step"
        role="checkbox"
        aria-checked={props.step.done}
        aria-disabled={!up()}
        data-kind={props.step.kind}
        onClick={() => tick([props.step.key], !props.step.done)}
      >
        <span class="set-up-box" aria-hidden="true">
          <Show when={props.step.done}>
            <Tick />
          </Show>
        </span>
        <span>{props.step.says}</span>
      </button>
      <Show when={props.step.caution}>{(caution) => <p class="fact set-up-caution">{caution()}</p>}</Show>
    </li>
  );
}

export function Tick() {
  return (
    <svg class="set-up-tick" viewBox="0 0 16 16" aria-hidden="true">
      <path d="M2.5 8.5 6.5 12.5 13.5 3.5" />
    </svg>
  );
}

/** The great key: what is left of this light, else the next one, else the line check. */
function Foot() {
  const left = () => place()?.card.steps.filter((step) => !step.done).map((step) => step.key) ?? [];
  const rig = { words: 'Rig', press: () => setSetUp(null) };
  return (
    <Show
      when={left().length > 0}
      fallback={
        <Show
          when={nextCard()}
          fallback={<Great words="Check the lights" fact="all is ticked; now see whether each does what it should" press={openCheck} beside={rig} />}
        >
          {(next) => <Great words={`Next, light ${next().unit}`} fact={next().title} press={() => openCard(next().unit)} beside={rig} />}
        </Show>
      }
    >
      <Great
        words={left().length === place()!.card.steps.length ? 'All of it is done' : 'The rest is done'}
        fact={`light ${place()!.card.unit}`}
        press={() => tick(left(), true)}
        beside={rig}
      />
    </Show>
  );
}
