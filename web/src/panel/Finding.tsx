import { Match, Show, Switch } from 'solid-js';
import { pickAll } from '../state';
import type { FindingView } from '../wire.gen';
import { capital, found, keepUnits, lights } from '../words';

/** One finding: what, where, the figure, the rule and its source, and what to do. */
export function Finding(props: { finding: FindingView }) {
  const finding = () => props.finding;
  return (
    <li class="finding">
      <Shape severity={finding().severity} />
      <div>
        <h3>
          {capital(finding().severity)}. {found(finding().what, finding().figure)}
        </h3>
        <Show when={finding().remedy}>
          <p>{stop(finding().remedy)}</p>
        </Show>
        <p class="fact">
          {capital(finding().place)}.{' '}
          <Show when={finding().rule}>
            {capital(finding().rule)}
            <Show when={finding().source}> ({finding().source})</Show>.{' '}
          </Show>
          <Show when={finding().units.length > 0}>
            <button type="button" class="handle inline" onClick={() => pickAll(finding().units)}>
              Show {lights(finding().units)}
            </button>
          </Show>
        </p>
      </div>
    </li>
  );
}

/** Ends a sentence that has no stop of its own. */
function stop(text: string): string {
  return keepUnits(/[.!?]$/.test(text) ? text : `${text}.`);
}

function Shape(props: { severity: string }) {
  return (
    <svg class="shape" viewBox="0 0 16 16" aria-hidden="true">
      <Switch fallback={<circle cx="8" cy="8" r="3" class="filled" />}>
        <Match when={props.severity === 'must change'}>
          <rect x="1.5" y="1.5" width="13" height="13" class="filled" />
        </Match>
        <Match when={props.severity === 'take care'}>
          <path d="M8 2 15 14H1z" />
        </Match>
      </Switch>
    </svg>
  );
}
