import { createEffect, For, onCleanup, Show } from 'solid-js';
import type { Point } from '../../act';
import type { Value } from '../../change.gen';
import { field, setRefusal, setRoomAim } from '../../making';
import { scene } from '../../state';
import { Choice, Editor, Row } from './Opens';
import { setPart, type OpenPart } from './PartEditor';
import { Typed } from './Typed';

/** A spot dragged this near to a mark is on it. */
const ON_MARK_M = 0.15;

type End = 'from' | 'to';

/** Where: a mark, any point, or spread along a line from one to another; a spot dragged in the room says it as well. */
export function WhereEditor(props: { open: OpenPart }) {
  const aim = () => props.open.part.values.aim;
  const line = () => {
    const at = aim();
    return typeof at === 'object' && !Array.isArray(at) ? at : undefined;
  };
  const first = (): Value => scene()?.room.marks[0]?.name ?? [0, 0, 0];
  const put = (value: Value | null, answer?: (done: boolean) => void) => setPart(props.open, 'aim', value, answer);
  const end = (which: End, value: Value, answer?: (done: boolean) => void) => put({ from: line()?.['from'] ?? first(), to: line()?.['to'] ?? first(), [which]: value }, answer);
  const dropped = (at: Point) => {
    const mark = scene()?.room.marks.find((one) => Math.hypot(...one.at.map((n, i) => n - (at[i] ?? 0))) < ON_MARK_M);
    put(mark?.name ?? at.map((n) => Math.round(n * 100) / 100));
  };
  createEffect(() => setRoomAim({ lights: props.open.part.lights, end: dropped }));
  onCleanup(() => setRoomAim(null));
  return (
    <Editor label="Where" class="where-editor">
      <Row word="they shine">
        <Choice on={aim() === undefined} press={() => put(null)}>
          where they are
        </Choice>
        <Choice on={aim() !== undefined && !line()} press={() => line() && put(line()?.['from'] ?? first())}>
          on one place
        </Choice>
        <Choice on={line() !== undefined} press={() => !line() && put({ from: aim() ?? first(), to: aim() ?? first() })}>
          spread along a line
        </Choice>
      </Row>
      <Show when={line()} fallback={<Place word="which place" key={props.open.key('aim')} at={aim()} put={put} />}>
        <Place word="from" key={`${props.open.key('aim')} from`} at={line()?.['from']} put={(value, answer) => end('from', value, answer)} />
        <Place word="to" key={`${props.open.key('aim')} to`} at={line()?.['to']} put={(value, answer) => end('to', value, answer)} />
      </Show>
      <span class="fact">Or drag one of their spots in the room.</span>
    </Editor>
  );
}

function Place(props: { word: string; key: string; at: Value | undefined; put: (value: Value, answer?: (done: boolean) => void) => void }) {
  const marks = () => scene()?.room.marks ?? [];
  const point = (): readonly number[] => {
    if (Array.isArray(props.at)) return props.at.map(Number);
    return marks().find((mark) => mark.name === props.at)?.at ?? [0, 0, 0];
  };
  const axis = (i: number, text: string, answer: (done: boolean) => void) => {
    const metres = Number(text.replace(',', '.').replace(/\s*m$/, ''));
    if (!Number.isFinite(metres)) {
      setRefusal({ field: field(), says: 'Metres as a number, such as 1.5.' });
      return answer(false);
    }
    props.put(point().map((n, j) => (i === j ? metres : n)), answer);
  };
  return (
    <Row word={props.word}>
      <For each={marks()}>
        {(mark) => (
          <Choice on={props.at === mark.name} press={() => props.put(mark.name)}>
            {mark.name}
          </Choice>
        )}
      </For>
      <span class="point">
        <For each={['right', 'away', 'up'] as const}>
          {(way, i) => (
            <Typed
              key={`${props.key} ${way}`}
              label={`metres ${way}, ${props.word}`}
              after={`m ${way}`}
              silent
              figures
              most={8}
              value={String(Math.round((point()[i()] ?? 0) * 100) / 100)}
              take={(text, answer) => axis(i(), text, answer)}
            />
          )}
        </For>
      </span>
    </Row>
  );
}
