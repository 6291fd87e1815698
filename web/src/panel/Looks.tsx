import { For, Show } from 'solid-js';
import { putOn } from '../act';
import { begin, canMake, closeField, field, idsOf, lasting, lookAt, open, toggleField } from '../making';
import { held, now, scene, up } from '../state';
import { capital, count } from '../words';
import { ColourRule } from './ColourRule';
import { Change, dragging } from './make/Acts';
import { KeepForm } from './make/Keep';
import { LookMaking } from './make/LookMaking';
import { NewLook } from './make/NewLook';
import { Sentence } from './Sentence';

/** Every look with its sentences: a tap puts it on, and one at a time is open for making. */
export function Looks() {
  const some = () => (scene()?.looks.length ?? 0) > 0;
  return (
    <>
      <Show when={some()} fallback={<Empty />}>
        <p class="label">
          {idsOf('look').length === 1 ? 'One look' : `${capital(count(idsOf('look').length))} looks`}; a tap puts one on
        </p>
        <Show when={canMake()}>
          <div class="acts making-row">
            <FormWord form="keep">{held().length > 0 ? 'Keep what is in your hand' : 'Keep what is lit'}</FormWord>
            <FormWord form="new look">New look</FormWord>
          </div>
        </Show>
      </Show>
      <Show when={field() === 'keep'}>
        <KeepForm close={closeField} />
      </Show>
      <Show when={field() === 'new look'}>
        <NewLook />
      </Show>
      <For each={idsOf('look')}>{(id) => <LookItem id={id} />}</For>
    </>
  );
}

/** A word that opens a form. */
export function FormWord(props: { form: string; children: string }) {
  return (
    <button
      type="button"
      class="handle act"
      classList={{ chosen: field() === props.form }}
      data-opens={props.form}
      aria-expanded={field() === props.form}
      onClick={(event) => toggleField(props.form, event.detail === 0)}
    >
      {props.children}
    </button>
  );
}

function Empty() {
  return (
    <div class="first">
      <p class="saying">
        No looks yet. A look says who shines, where, in what colour and how bright.
        <Show when={canMake()}> Make one here, or light the room by hand first: pick a light, and keep what you see.</Show>
      </p>
      <Show when={canMake() && field() !== 'new look'}>
        <button type="button" class="key great" onClick={() => begin('new look')}>
          Make the first look
        </button>
      </Show>
    </div>
  );
}

function LookItem(props: { id: number }) {
  const look = lasting(() => lookAt(props.id));
  const isOn = () => now.look === look().name;
  return (
    <Show when={canMake() && open.look === props.id} fallback={
      <article class="item" classList={{ on: isOn(), made: canMake() }} data-item={`look ${props.id}`} {...dragging('look', props.id, canMake)}>
        <ColourRule colours={look().colours} />
        <div class="item-head">
          <h2 class="subtitle">
            <button type="button" class="cover" aria-pressed={isOn()} aria-disabled={!up()} onClick={() => putOn(look().name)}>
              {capital(look().name)}
            </button>
            <Show when={isOn()}>
              <span class="fact bright"> on now</span>
            </Show>
          </h2>
          <Show when={canMake()}>
            <Change kind="look" id={props.id} name={look().name} />
          </Show>
        </div>
        <For each={look().words}>
          {(sentence) => (
            <p class="saying small">
              <Sentence words={sentence} />
            </p>
          )}
        </For>
        <Show when={look().words.length === 0}>
          <p class="saying small soft">Dark.</p>
        </Show>
      </article>
    }>
      <LookMaking id={props.id} look={look()} />
    </Show>
  );
}
