import { For, Show } from 'solid-js';
import { Choice, Editor } from './Opens';
import { Typed } from './Typed';

/** A time: a few that are usual, none, or any as it is written. */
export function TimeEditor(props: {
  label: string;
  key: string;
  /** Undefined where several differ. */
  value: string | null | undefined;
  /** What no time means here. */
  none?: string;
  usual: readonly string[];
  take: (value: string | null, answer?: (done: boolean) => void) => void;
}) {
  const beats = () => props.usual.some((time) => time.includes('beat'));
  return (
    <Editor label={props.label}>
      <Show when={props.none}>
        <Choice on={props.value === null} press={() => props.take(null)}>
          {props.none}
        </Choice>
      </Show>
      <For each={props.usual}>
        {(time) => (
          <Choice on={props.value === time} press={() => props.take(time)}>
            {time}
          </Choice>
        )}
      </For>
      <Typed
        key={props.key}
        label="or"
        value={props.value ?? ''}
        placeholder={props.value === undefined ? 'they differ' : beats() ? '2.5 s, 6 beats' : '2.5 s, 2 min'}
        most={20}
        shuts
        take={(text, answer) => props.take(/^\d+(\.\d+)?$/.test(text) ? `${text} s` : text, answer)}
      />
    </Editor>
  );
}
