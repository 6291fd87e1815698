import { createEffect, For, onCleanup } from 'solid-js';
import './views.css';
import { drawn, figures, setFigures, setWay, way, WAYS } from './ways';

/** The words that say how the room is looked at, and whether people stand in it. */
export function Views() {
  // The plan is as high as the rig's on a phone.
  createEffect(() => (document.body.dataset.way = drawn()));
  onCleanup(() => delete document.body.dataset.way);
  return (
    <>
      <div class="views" role="group" aria-label="How the room is looked at">
        <For each={WAYS}>
          {(name) => (
            <button type="button" aria-pressed={way() === name} onClick={() => setWay(name)}>
              {name}
            </button>
          )}
        </For>
      </div>
      <div class="views views-people">
        <button type="button" aria-pressed={figures()} onClick={() => setFigures(!figures())} hidden={drawn() === 'rig'}>
          people
        </button>
      </div>
    </>
  );
}
