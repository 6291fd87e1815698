import { createEffect, createSignal, For, Show } from 'solid-js';
import { doing, leaveWatch, startWatch, thereNow } from '../sight';
import { moment } from '../state';
import type { AxisName, UnitView } from '../wire.gen';
import { keepUnits, the } from '../words';
import { Great } from './Sight';
import { motor } from './SightChoose';

const AXES: readonly AxisName[] = ['pan', 'tilt'];

/** The stopwatch: how long an axis takes from one end to the other, as a person sees it. */
export function SightTime(props: { unit: UnitView }) {
  const [axis, setAxis] = createSignal<AxisName>('pan');
  const [all, setAll] = createSignal(true);
  const running = () => doing()?.timing as AxisName | null | undefined;
  // Until it is at the end where it begins, the machine only says what it does.
  const [led, setLed] = createSignal(false);
  const begin = () => {
    setLed(startWatch(axis()));
  };
  createEffect(() => running() && setLed(false));
  const busy = () => !!running() || led();
  const shown = () => running() ?? axis();
  const seconds = () => moment()?.sighting?.timing_s ?? 0;
  const view = () => props.unit.sighting;
  const leave = () => {
    leaveWatch(busy());
    setLed(false);
  };
  return (
    <div class="sight sight-aim">
      <div class="sight-words">
        <p class="label">
          Light {props.unit.number}, {props.unit.kind} on {the(props.unit.place)}
        </p>
        <h1 class="title">How fast does it {shown()}?</h1>
        <p class="saying small" aria-live="polite">
          {keepUnits(doing()?.says || 'It goes to one end first, then right across to the other. Watch it, and say when it stands still there.')}
        </p>
        <p class="fact">{motor('Pan', view()?.pan_time_s ?? null, view()?.times_from[0])}</p>
        <p class="fact">{motor('Tilt', view()?.tilt_time_s ?? null, view()?.times_from[1])}</p>
        <p class="fact">It swings over its whole travel: keep people, cables and eyes clear of it.</p>
      </div>
      <div class="sight-hand">
        <Show when={busy()}>
          <p class="sight-seconds" role="timer">
            {running() ? seconds().toFixed(1) : '0.0'} <span class="fact">s</span>
          </p>
        </Show>
        <Show when={!busy()}>
          <div class="steps two" role="radiogroup" aria-label="Which axis">
            <For each={AXES}>
              {(one) => (
                <button type="button" class="step" role="radio" aria-checked={shown() === one} onClick={() => setAxis(one)}>
                  {one === 'pan' ? 'Pan' : 'Tilt'}
                </button>
              )}
            </For>
          </div>
        </Show>
        <div class="steps two" role="radiogroup" aria-label="For which lights it counts">
          <button type="button" class="step" role="radio" aria-checked={!all()} onClick={() => setAll(false)}>
            This light alone
          </button>
          <button type="button" class="step" role="radio" aria-checked={all()} onClick={() => setAll(true)}>
            Every {props.unit.kind}
          </button>
        </div>
        <Great
          words={running() ? 'Now it is there' : busy() ? 'To one end' : 'Start'}
          {...(busy() && !running() ? { fact: 'then the seconds begin' } : {})}
          press={() => (running() ? thereNow(all()) : busy() ? undefined : begin())}
          beside={{ words: busy() ? 'Give up' : 'Back', press: leave }}
        />
      </div>
    </div>
  );
}
