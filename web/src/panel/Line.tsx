import { Show, type JSX } from 'solid-js';

/** Two presses within this time are one double press. */
const TWICE_MS = 400;
/** A press that moves less than this is no drag, where a double press means something. */
const TREMBLE_PX = 4;

/**
 * A value from 0 to 1 as one line. The whole block is the control: a drag anywhere on it moves the value by as much as
 * the finger moves, so that it never jumps; arrows step it, with Shift finer.
 */
export function Line(props: {
  label: string;
  value: number;
  said: string;
  onInput: (value: number) => void;
  /** Two presses that move nothing, one right after the other. */
  onTwice?: () => void;
  children?: JSX.Element;
}) {
  let track: HTMLSpanElement | undefined;
  let grip: { x: number; value: number } | undefined;
  const pressed = { at: -Infinity, moved: false };
  const set = (value: number) => props.onInput(Math.min(1, Math.max(0, value)));

  const down = (event: PointerEvent & { currentTarget: HTMLElement }) => {
    if (event.button !== 0) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    grip = { x: event.clientX, value: props.value };
    pressed.moved = false;
  };
  const move = (event: PointerEvent) => {
    if (!grip || !track) return;
    // A finger that only presses still trembles.
    if (props.onTwice && !pressed.moved) {
      if (Math.abs(event.clientX - grip.x) < TREMBLE_PX) return;
      grip.x = event.clientX;
    }
    pressed.moved = true;
    set(grip.value + (event.clientX - grip.x) / track.clientWidth);
  };
  const release = () => (grip = undefined);
  const up = (event: PointerEvent) => {
    const press = grip !== undefined && !pressed.moved;
    const twice = press && event.timeStamp - pressed.at < TWICE_MS;
    pressed.at = press && !twice ? event.timeStamp : -Infinity;
    release();
    if (twice) props.onTwice?.();
  };

  const key = (event: KeyboardEvent) => {
    const value = stepped(event, props.value);
    if (value === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    set(value);
  };

  return (
    <div
      class="line"
      role="slider"
      tabindex="0"
      aria-label={props.label}
      aria-valuemin="0"
      aria-valuemax="100"
      aria-valuenow={Math.round(props.value * 100)}
      aria-valuetext={props.said}
      onPointerDown={down}
      onPointerMove={move}
      onPointerUp={up}
      onPointerCancel={release}
      onKeyDown={key}
    >
      <Show when={props.children}>
        <span class="line-words">{props.children}</span>
      </Show>
      <span class="line-track" ref={track}>
        <i style={{ transform: `scaleX(${props.value})` }} />
        <b style={{ left: `${props.value * 100}%` }} />
      </span>
    </div>
  );
}

function stepped(event: KeyboardEvent, value: number): number | undefined {
  const step = event.shiftKey ? 0.01 : 0.05;
  switch (event.key) {
    case 'ArrowLeft':
    case 'ArrowDown':
      return value - step;
    case 'ArrowRight':
    case 'ArrowUp':
      return value + step;
    case 'PageDown':
      return value - 0.2;
    case 'PageUp':
      return value + 0.2;
    case 'Home':
      return 0;
    case 'End':
      return 1;
    default:
      return undefined;
  }
}
