import { For, Show } from 'solid-js';
import { bandPaint, inAmber, LUX_PLANES, luxMap, luxPlane, setLuxPlane } from '../lux';
import { saveFile } from '../save';
import { capital } from '../words';

/** The choice of a light level map over the plan, and how to read it. */
export function LightLevel() {
  const paper = () => `lux.svg?${luxPlane()?.ask ?? ''}`;
  return (
    <section class="light-level" aria-label="Light level">
      <h2 class="section">Light level</h2>
      <div class="lux-choices" role="group" aria-label="Measured on">
        <button type="button" class="choice" aria-pressed={luxPlane() === null} onClick={() => setLuxPlane(null)}>
          no map
        </button>
        <For each={LUX_PLANES}>
          {(plane) => (
            <button type="button" class="choice" aria-pressed={luxPlane() === plane} onClick={() => setLuxPlane(plane)}>
              {plane.words}
            </button>
          )}
        </For>
      </div>
      <Show when={luxMap()}>
        {(map) => (
          <>
            <p class="fact">
              What is on now, on {map().on}; most {map().most}.
            </p>
            <ul class="lux-legend" aria-label="Lux">
              <For each={[...map().bands.keys()].reverse()}>
                {(band) => {
                  const paint = () => bandPaint(map(), band, inAmber());
                  return (
                    <li>
                      <span
                        class="lux-swatch"
                        style={{ background: paint().colour ?? 'var(--bright)', opacity: paint().colour ? 1 : 0.08 + 0.72 * paint().strength }}
                      />
                      {map().bands[band]?.words} lx
                    </li>
                  );
                }}
              </For>
            </ul>
            <Show when={map().marks.length > 0}>
              <p class="fact">
                <For each={map().marks}>
                  {(mark, index) => (
                    <>
                      {index() === 0 ? '' : ', '}
                      {index() === 0 ? capital(mark.name) : mark.name} {mark.lux}
                    </>
                  )}
                </For>
              </p>
            </Show>
            <p class="fact caution">{map().caution.join(' ')}</p>
            <p class="fact">
              <a class="handle inline" href={paper()} target="_blank" rel="noopener" onClick={(event) => void saveFile(event, paper(), 'light-level.svg')}>
                A page to print
              </a>
            </p>
          </>
        )}
      </Show>
    </section>
  );
}
