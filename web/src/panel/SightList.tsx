import { For, Show } from 'solid-js';
import { heads, nextLight, openLight, shut, summary, toNextLight } from '../sight';
import type { UnitView } from '../wire.gen';
import { Great } from './Sight';
import { Symbol } from './Symbol';

/** The heads, each with what is known of how it hangs. */
export function SightList() {
  return (
    <div class="sight">
      <div class="sight-words">
        <h1 class="title">Sight in</h1>
        <Show
          when={heads().length > 0}
          fallback={<p class="saying small soft">No light here can follow a spot, so there is nothing to sight in.</p>}
        >
          <p class="saying small soft">
            Bring each head onto a few marks, once. From then on it finds every place in this room by itself.
          </p>
        </Show>
        <ul class="plain sight-heads" aria-label="Heads">
          <For each={heads()}>{(unit) => <Head unit={unit} />}</For>
        </ul>
        <p class="fact caution">
          The light that is sighted in is lit by hand; the others stay as they are, or go dark meanwhile if you say so. See that nobody
          looks into it, or stands where a head can swing.
        </p>
      </div>
      <Show
        when={nextLight()}
        fallback={
          <div class="sight-great">
            <button type="button" class="key" onClick={shut}>
              {heads().length > 0 ? 'All of them are sighted in' : 'Back to the rig'}
            </button>
          </div>
        }
      >
        {(next) => (
          <Great words={`Light ${next().number}`} fact={`${next().kind}, next`} press={toNextLight} beside={{ words: 'Rig', press: shut }} />
        )}
      </Show>
    </div>
  );
}

function Head(props: { unit: UnitView }) {
  const unit = () => props.unit;
  const known = () => (unit().sighting ? summary(unit().sighting!) : '');
  return (
    <li>
      <button
        type="button"
        class="sight-head"
        classList={{ enough: unit().sighting?.enough }}
        data-light={unit().number}
        onClick={() => openLight(unit().number)}
      >
        <b class="light-number">{unit().number}</b> <Symbol kind={unit().symbol} />
        <span>
          <span class="light-kind">
            {unit().kind}, {unit().place}
          </span>{' '}
          <span class="fact">{known()}</span>
        </span>
      </button>
    </li>
  );
}
