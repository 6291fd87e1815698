import { For, Show } from 'solid-js';
import { canMake, change } from '../making';
import { pick, picked, unitOf } from '../state';
import type { LineView } from '../wire.gen';
import { capital } from '../words';
import { Act } from './make/Acts';
import { nameOf } from './rig/LineEditor';
import { Sums } from './rig/Sums';

/** A data line as it runs: where it starts, each light in true order, and its end. */
export function DataLine(props: { line: LineView }) {
  const line = () => props.line;
  const cables = () => (line().cables === 1 ? 'one cable' : `${line().cables} cables`);
  return (
    <li class="data-line">
      <p>
        <b>{capital(line().name)}</b>, {line().kind}, {cables()}
      </p>
      <ol>
        <li class="end-piece fact">{line().kind === 'linked' ? 'leads' : 'controller'}</li>
        <For each={line().units}>
          {(number) => (
            <li>
              <button type="button" class="station" aria-pressed={picked().includes(number)} onClick={() => pick(number)}>
                <span class="unseen">Light </span>
                <b>{number}</b>
                <span class="unseen">, </span>
                <span class="fact">{unitOf(number)?.address ?? ''}</span>
              </button>
            </li>
          )}
        </For>
        <li class="end-piece fact">
          <svg class="symbol" viewBox="0 0 16 32" aria-hidden="true">
            <path d="M0 16h9M9 8v16" />
          </svg>
          terminator
        </li>
      </ol>
      <Sums of={line().name} sums={line().sums} />
      <Show when={line().legs.length > 0}>
        <p class="fact">Cables with slack, from your lengths: {line().legs.join('; ')}.</p>
      </Show>
      <Show when={line().shorter}>
        {(order) => (
          <p class="fact">
            In the order {order().units.join(', ')}: {order().says}.{' '}
            <Show when={canMake()}>
              <Act press={() => change({ type: 'line_set', name: nameOf(line()), lights: order().units })} label={`Run ${line().name} in that order`}>
                Run it so
              </Act>
            </Show>
          </p>
        )}
      </Show>
    </li>
  );
}
