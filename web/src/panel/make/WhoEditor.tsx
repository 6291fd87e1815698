import { createEffect, For, onCleanup, onMount } from 'solid-js';
import type { Value } from '../../change.gen';
import { setRoomPick, setSpoken } from '../../making';
import { scene } from '../../state';
import { capital } from '../../words';
import { Choice, Editor, Row } from './Opens';

/** Who shines: everybody, a group, or lights by number; lights are tapped in the room as well. */
export function WhoEditor(props: { who: Value | null; lights: readonly number[]; take: (who: Value) => void; label?: string }) {
  const all = () => scene()?.units.map((unit) => unit.number) ?? [];
  const toggle = (unit: number) => {
    const named = typeof props.who === 'string' || props.who === null ? [] : props.lights;
    const next = props.lights.includes(unit) && named.length > 0 ? named.filter((one) => one !== unit) : typeof props.who === 'string' && props.lights.includes(unit) ? props.lights.filter((one) => one !== unit) : [...props.lights, unit];
    if (next.length > 0) props.take(next.length === 1 ? next[0]! : [...next]);
  };
  onMount(() => setRoomPick(() => toggle));
  onCleanup(() => setRoomPick(null));
  createEffect(() => setSpoken([...props.lights]));
  onCleanup(() => setSpoken(null));
  return (
    <Editor label={props.label ?? 'Who'} class="who-editor">
      <Row word="together">
        <Choice on={props.who === 'all'} press={() => props.take('all')}>
          all lights
        </Choice>
        <For each={scene()?.groups}>
          {(group) => (
            <Choice on={props.who === group.name} press={() => props.take(group.name)}>
              {group.name}
            </Choice>
          )}
        </For>
      </Row>
      <Row word="or one by one, also by a tap in the room">
        <For each={all()}>
          {(unit) => (
            <Choice on={props.lights.includes(unit)} press={() => toggle(unit)} label={`${capital('light')} ${unit}`}>
              <span class="number">{unit}</span>
            </Choice>
          )}
        </For>
      </Row>
    </Editor>
  );
}
