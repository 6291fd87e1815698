import { Show } from 'solid-js';
import type { CircuitField } from '../change.gen';
import { canMake, change } from '../making';
import type { CircuitView } from '../wire.gen';
import { amps, capital, lights } from '../words';
import { Act } from './make/Acts';
import { Fields } from './rig/Fields';
import { Sums } from './rig/Sums';

/** A circuit's current as a length against what is planned for and what the breaker holds. */
export function Circuit(props: { circuit: CircuitView }) {
  const circuit = () => props.circuit;
  /** As far as it is known; a light whose power is not known is not in it. */
  const known = () => circuit().amps ?? 0;
  const most = () => Math.max(circuit().breaker_amps, known());
  const part = (a: number) => `${(a / most()) * 100}%`;
  return (
    <li class="circuit">
      <p>
        <b>{capital(circuit().name)}</b>{' '}
        <span class="circuit-figure">
          {circuit().amps === null ? 'not known' : amps(known())} of {amps(circuit().limit_amps)}
        </span>
        <Show when={known() > circuit().limit_amps}>
          <b>more than to plan for</b>
        </Show>
      </p>
      <span class="length" aria-hidden="true">
        <i style={{ width: part(known()) }} />
        <b style={{ left: part(circuit().limit_amps) }} />
      </span>
      <Fields of={`circuit ${circuit().name}`} fields={circuit().fields} set={(field, value, answer) => change({ type: 'circuit_set', name: circuit().name, field: field as CircuitField, value }, answer)} />
      <p class="fact">
        Plan for at most {amps(circuit().limit_amps)} (the tick); the breaker holds {amps(circuit().breaker_amps)} (the end)
        <Show when={circuit().units.length > 0}>. Feeds {lights(circuit().units)}</Show>
        <Show when={circuit().assumed}>. Some figures are not known and were assumed</Show>.
      </p>
      <Sums of={`circuit ${circuit().name}`} sums={circuit().sums} />
      <Show when={canMake()}>
        <div class="acts">
          <Act press={() => change({ type: 'circuit_remove', name: circuit().name })} label={`Remove circuit ${circuit().name}`}>
            Remove
          </Act>
        </div>
      </Show>
    </li>
  );
}
