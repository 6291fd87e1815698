import { Show } from 'solid-js';
import { doing, onlyStandIn, signAxis, skipSigns, spotWent, tryAxis } from '../sight';
import { up } from '../state';
import type { UnitView } from '../wire.gen';
import { keepUnits, the } from '../words';
import { EIGHT, Pads } from './Pads';
import { Great } from './Sight';

/** The sign check: an axis moves a little, and a person says which way the spot went on the picture. */
export function SightSigns(props: { unit: UnitView }) {
  const asked = () => !!doing()?.watching;
  return (
    <div class="sight sight-aim">
      <div class="sight-words">
        <p class="label">
          Light {props.unit.number}, {props.unit.kind} on {the(props.unit.place)}
        </p>
        <h1 class="title">{asked() ? 'Which way did the spot go?' : `Watch the spot: it moves a little by ${signAxis()}`}</h1>
        <p class="saying small" aria-live="polite">
          {keepUnits(doing()?.says ?? '')}{' '}
          <Show when={!onlyStandIn()}>
            <span class="soft">Watch the light in the room itself, as seen from the audience.</span>
          </Show>
        </p>
      </div>
      <div class="sight-hand">
        <Show
          when={asked()}
          fallback={<Great words="Move it" fact={`by ${signAxis()}`} press={tryAxis} beside={{ words: 'Skip this', press: skipSigns }} />}
        >
          <Pads ways={EIGHT} say={(word) => `It went ${word}`} press={(way) => spotWent(way)}>
            <button type="button" class="pad pad-none" aria-disabled={!up()} onClick={() => spotWent(null)}>
              could not see it
            </button>
          </Pads>
          <div class="sight-ways">
            <button type="button" class="handle" aria-disabled={!up()} onClick={tryAxis}>
              Move it again
            </button>
            <button type="button" class="handle" onClick={skipSigns}>
              Skip this
            </button>
          </div>
        </Show>
      </div>
    </div>
  );
}
