import { For, Show } from 'solid-js';
import { canMake } from '../making';
import { openLight, summary } from '../sight';
import { pick, picked } from '../state';
import type { UnitView } from '../wire.gen';
import { capital, the } from '../words';
import { LightMaking } from './rig/LightMaking';
import { Symbol } from './Symbol';

/** A light in the rig: its number, kind and address; opened, all that one needs at the light itself. */
export function LightRow(props: { unit: UnitView }) {
  const unit = () => props.unit;
  const open = () => picked().at(-1) === unit().number;
  return (
    <li class="light" classList={{ open: open() }}>
      <button
        type="button"
        class="light-head"
        data-light={unit().number}
        aria-expanded={open()}
        onClick={() => pick(open() ? null : unit().number)}
      >
        <b class="light-number">{unit().number}</b>{' '}
        <Symbol kind={unit().symbol} />
        <span class="light-kind">{unit().kind}</span>{' '}
        <span class="light-address">{unit().address ?? 'no address'}</span>
      </button>
      <Show when={open()}>
        <Show when={canMake()} fallback={<LightFacts unit={unit()} />}>
          <LightMaking unit={unit()} />
        </Show>
      </Show>
    </li>
  );
}

/** What to select and where it hangs, as a list of facts. */
export function LightFacts(props: { unit: UnitView }) {
  const unit = () => props.unit;
  return (
    <dl class="facts">
      <dt>runs</dt>
      <dd>{capital(unit().run)}</dd>
      <dt>mode</dt>
      <dd>
        {unit().mode}
        <Show when={!unit().mode.includes(String(unit().footprint))}>
          , {unit().footprint === 1 ? 'one channel' : `${unit().footprint} channels`}
        </Show>
      </dd>
      <dt>address</dt>
      <dd>{unit().address ?? 'none; it needs none this way'}</dd>
      <dt>in its menu</dt>
      <dd>
        <Show when={unit().menu.length > 0} fallback="not known; see the light’s own manual">
          <ol class="menu">
            <For each={unit().menu}>{(words) => <li>{words}</li>}</For>
          </ol>
        </Show>
      </dd>
      <dt>circuit</dt>
      <dd>{unit().circuit ?? 'not planned'}</dd>
      <dt>hangs</dt>
      <dd>on {the(unit().place)}</dd>
      <Show when={unit().sighting}>
        {(sighting) => (
          <>
            <dt>sighted</dt>
            <dd>
              {summary(sighting())}{' '}
              <button type="button" class="handle inline" onClick={() => openLight(unit().number)}>
                Sight it in
              </button>
            </dd>
          </>
        )}
      </Show>
      <Show when={unit().groups.length > 0}>
        <dt>groups</dt>
        <dd>{unit().groups.join(', ')}</dd>
      </Show>
    </dl>
  );
}
