import { createSignal, Show } from 'solid-js';
import type { JSX } from 'solid-js';
import { folded } from '../../fold';
import { focusHandle, idsOf, moveItem, openItem, placeOf, type Kind } from '../../making';
import { up } from '../../state';

/** What else can be done with the open thing. Everything can be undone, so nothing is asked twice. */
export function Acts(props: { kind: Kind; id: number; copy?: () => void; remove: () => void; children?: JSX.Element }) {
  const first = () => placeOf(props.kind, props.id) <= 0;
  const last = () => placeOf(props.kind, props.id) >= idsOf(props.kind).length - 1;
  return (
    <div class="acts" role="group" aria-label="More for it">
      {props.children}
      <Act disabled={first()} press={() => moveItem(props.kind, props.id, -1)}>
        Earlier
      </Act>
      <Act disabled={last()} press={() => moveItem(props.kind, props.id, 1)}>
        Later
      </Act>
      <Show when={props.copy}>
        <Act press={() => props.copy?.()}>Copy</Act>
      </Show>
      <Act press={() => props.remove()}>Remove</Act>
      <Act
        press={() => {
          openItem(props.kind, null);
          focusHandle(`${props.kind} ${props.id}`);
        }}
      >
        Close
      </Act>
    </div>
  );
}

/** One word that does something at once. */
export function Act(props: { press: () => void; disabled?: boolean; label?: string; children: JSX.Element }) {
  const off = () => props.disabled || !up();
  return (
    <button type="button" class="handle act" aria-label={props.label} aria-disabled={off()} onClick={() => !off() && props.press()}>
      {props.children}
    </button>
  );
}

/** The word that opens a look, chase or cue for making. */
export function Change(props: { kind: Kind; id: number; name: string }) {
  return (
    <button
      type="button"
      class="handle change-word"
      data-opens={`${props.kind} ${props.id}`}
      aria-label={`Change ${props.name}`}
      aria-expanded="false"
      onClick={(event) => {
        openItem(props.kind, props.id);
        const keyboard = event.detail === 0;
        requestAnimationFrame(() => {
          const row = document.querySelector<HTMLElement>(`[data-item="${props.kind} ${props.id}"]`);
          row?.scrollIntoView({ block: 'nearest' });
          if (keyboard) row?.querySelector<HTMLElement>('[data-opens]')?.focus({ preventScroll: true });
        });
      }}
    >
      Change
    </button>
  );
}

const [dragged, setDragged] = createSignal<{ kind: Kind; id: number } | null>(null);
const [over, setOver] = createSignal<number | null>(null);

/** On a laptop a row is dragged to another place. */
export function dragging(kind: Kind, id: number, may: () => boolean) {
  const mine = () => dragged()?.kind === kind;
  return {
    get draggable() {
      return !folded() && may() ? true : undefined;
    },
    get 'data-drop'() {
      const from = dragged();
      if (!from || !mine() || over() !== id || from.id === id) return undefined;
      return placeOf(kind, from.id) < placeOf(kind, id) ? 'after' : 'before';
    },
    onDragStart(event: DragEvent) {
      setDragged({ kind, id });
      event.dataTransfer?.setData('text/plain', '');
    },
    onDragEnd() {
      setDragged(null);
      setOver(null);
    },
    onDragOver(event: DragEvent) {
      if (!mine()) return;
      event.preventDefault();
      setOver(id);
    },
    onDrop(event: DragEvent) {
      const from = dragged();
      if (!from || !mine()) return;
      event.preventDefault();
      moveItem(kind, from.id, placeOf(kind, id) - placeOf(kind, from.id));
    },
  };
}
