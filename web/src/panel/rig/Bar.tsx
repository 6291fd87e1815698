import { For } from 'solid-js';
import { resting } from '../../making';
import { alongWords, exactly } from '../../rigging';
import { scene } from '../../state';
import type { UnitView } from '../../wire.gen';

/** Arrows move a light so far, metres; with Shift finely. */
const STEP_M = 0.1;
const FINE_M = 0.01;

/**
 * The bar with all that hangs on it. A drag anywhere on it moves the light in hand by as much as the hand moves; arrows
 * move it 10 cm, with Shift 1 cm.
 */
export function Bar(props: { unit: UnitView; take: (along: number) => void }) {
  let track!: HTMLSpanElement;
  let grip: { x: number; along: number } | undefined;
  const place = () => scene()?.room.places.find((one) => one.name === props.unit.place);
  const length = () => place()?.length ?? 0;
  const half = () => length() / 2;
  const others = () => scene()?.units.filter((unit) => unit.place === props.unit.place && unit.number !== props.unit.number) ?? [];
  const at = resting(
    () => props.unit.along,
    (along) => props.take(along),
  );
  const set = (along: number) => at.set(Math.min(half(), Math.max(-half(), Math.round(along * 100) / 100)) + 0);
  const left = (along: number) => `${Math.min(100, Math.max(0, 50 + (100 * along) / length()))}%`;

  const down = (event: PointerEvent & { currentTarget: HTMLElement }) => {
    if (event.button !== 0) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    grip = { x: event.clientX, along: at.get() };
  };
  const move = (event: PointerEvent) => grip && set(grip.along + ((event.clientX - grip.x) / track.clientWidth) * length());
  const release = () => (grip = undefined);
  const key = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const step = event.shiftKey ? FINE_M : STEP_M;
    const to =
      event.key === 'ArrowLeft' || event.key === 'ArrowDown' ? at.get() - step
      : event.key === 'ArrowRight' || event.key === 'ArrowUp' ? at.get() + step
      : event.key === 'Home' ? -half()
      : event.key === 'End' ? half()
      : undefined;
    if (to === undefined) return;
    event.preventDefault();
    set(to);
  };
  return (
    <div
      class="bar-drawn"
      role="slider"
      tabindex="0"
      aria-label={`Along ${props.unit.place}`}
      aria-valuemin={Math.round(-half() * 100)}
      aria-valuemax={Math.round(half() * 100)}
      aria-valuenow={Math.round(at.get() * 100)}
      aria-valuetext={alongWords(place(), at.get())}
      onPointerDown={down}
      onPointerMove={move}
      onPointerUp={release}
      onPointerCancel={release}
      onKeyDown={key}
    >
      <span class="bar-track" ref={track}>
        <For each={others()}>
          {(unit) => (
            <i class="bar-light" style={{ left: left(unit.along) }}>
              {unit.number}
            </i>
          )}
        </For>
        <b class="bar-light mine" style={{ left: left(at.get()) }}>
          {props.unit.number}
        </b>
      </span>
      <span class="bar-ends fact">
        <span>{exactly(half())} left</span>
        <span class="bright">{alongWords(place(), at.get())}</span>
        <span>{exactly(half())} right</span>
      </span>
    </div>
  );
}
