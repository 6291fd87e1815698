import { For, Show } from 'solid-js';
import { runChase, running } from '../act';
import { scene, up } from '../state';
import { capital, withoutName } from '../words';
import { ChaseStrokes } from './ChaseStrokes';
import { Sentence } from './Sentence';
import { Tempo } from './Tempo';

/** The tempo, and every chase with its strokes; start and stop. */
export function Chases() {
  const chases = () => scene()?.chases ?? [];
  return (
    <>
      <Tempo />
      <Show when={chases().length === 0}>
        <p class="saying">No chases yet. Two looks make one.</p>
      </Show>
      <For each={chases()}>
        {(chase) => (
          <article class="item" classList={{ on: running(chase.name) }}>
            <h2 class="subtitle">
              {capital(chase.name)}
              <Show when={running(chase.name)}>
                <span class="fact bright"> running</span>
              </Show>
            </h2>
            <p class="saying small">
              <Sentence words={withoutName(chase.words, chase.name)} />
            </p>
            <ChaseStrokes chase={chase} />
            <button
              type="button"
              class="key"
              aria-label={`${running(chase.name) ? 'Stop' : 'Start'} ${chase.name}`}
              aria-disabled={!up()}
              onClick={() => runChase(chase.name, !running(chase.name))}
            >
              {running(chase.name) ? 'Stop' : 'Start'}
            </button>
          </article>
        )}
      </For>
    </>
  );
}
