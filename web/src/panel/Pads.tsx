import { For, onCleanup, Show, type JSX } from 'solid-js';
import { HOLD_MS } from '../sight';
import { up } from '../state';

/** A direction on the picture. */
export type Way = { word: string; right: number; down: number };

const D = Math.SQRT1_2;
/** Up, left, down, right: the four that move a spot. */
export const FOUR: readonly Way[] = [
  { word: 'up', right: 0, down: -1 },
  { word: 'left', right: -1, down: 0 },
  { word: 'down', right: 0, down: 1 },
  { word: 'right', right: 1, down: 0 },
];
/** All eight as they stand round a middle, row by row. */
export const EIGHT: readonly Way[] = [
  { word: 'up left', right: -D, down: -D },
  { word: 'up', right: 0, down: -1 },
  { word: 'up right', right: D, down: -D },
  { word: 'left', right: -1, down: 0 },
  { word: 'right', right: 1, down: 0 },
  { word: 'down left', right: -D, down: D },
  { word: 'down', right: 0, down: 1 },
  { word: 'down right', right: D, down: D },
];

/**
 * Arrows as they point on the picture. With `pace` a held one presses again and again, so many milliseconds apart, after a
 * moment in which one press is one press.
 */
export function Pads(props: {
  ways: readonly Way[];
  say: (word: string) => string;
  press: (way: Way) => void;
  pace?: number;
  children?: JSX.Element;
}) {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const release = () => {
    clearTimeout(timer);
    timer = undefined;
  };
  const hold = (way: Way, wait: number) => {
    release();
    timer = setTimeout(() => {
      if (!up() || document.hidden) return release();
      props.press(way);
      hold(way, props.pace ?? wait);
    }, wait);
  };
  const down = (event: PointerEvent & { currentTarget: HTMLElement }, way: Way) => {
    if (event.button !== 0 || props.pace === undefined) return;
    event.currentTarget.setPointerCapture?.(event.pointerId);
    props.press(way);
    hold(way, HOLD_MS);
  };
  onCleanup(release);
  const middle = () => Math.floor(props.ways.length / 2);
  return (
    <div class="pads" classList={{ eight: props.ways.length === 8 }} role="group" aria-label="Arrows, as on the picture">
      <For each={props.ways}>
        {(way, i) => (
          <>
            <Show when={props.ways.length === 8 && i() === middle()}>{props.children}</Show>
            <button
              type="button"
              class={`pad pad-${way.word.replace(' ', '-')}`}
              aria-label={props.say(way.word)}
              aria-disabled={!up()}
              onPointerDown={(event) => down(event, way)}
              onPointerUp={release}
              onPointerCancel={release}
              onLostPointerCapture={release}
              onContextMenu={(event) => event.preventDefault()}
              onClick={(event) => (props.pace === undefined || event.detail === 0) && props.press(way)}
            >
              <svg viewBox="0 0 32 32" aria-hidden="true" style={{ transform: `rotate(${Math.atan2(way.right, -way.down)}rad)` }}>
                <path d="M16 27V6M7 15l9-9 9 9" />
              </svg>
            </button>
          </>
        )}
      </For>
    </div>
  );
}
