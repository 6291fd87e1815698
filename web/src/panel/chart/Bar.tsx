import { For } from 'solid-js';
import { sortOf, SORTS, told, type Sort } from '../../meanings';
import type { ChannelReading, RangeReading } from '../../wire.gen';

/** A channel's values from 0 to 255 as a bar: each range as long as it is, in the colour of what it does. */
export function Bar(props: { channel: ChannelReading; marked?: (range: RangeReading) => boolean; at?: number }) {
  // Ranges that hold under different conditions lie over one another: they are drawn in rows.
  const rows = () => {
    const groups = new Map<string, RangeReading[]>();
    for (const range of props.channel.ranges) {
      const key = JSON.stringify(range.when ?? null);
      groups.set(key, [...(groups.get(key) ?? []), range]);
    }
    return [...groups.values()];
  };
  const words = () => props.channel.ranges.map((range) => `${valuesOf(range)} ${told(range)}`).join('; ') || 'its values are not known';
  return (
    <span class="chart-bar" role="img" aria-label={words()}>
      <For each={rows()}>
        {(ranges) => (
          <span class="chart-bar-row">
            <For each={ranges}>
              {(range) => (
                <i
                  class={`range ${sortOf(range)}`}
                  classList={{ marked: props.marked?.(range) ?? false, falls: range.dir === 'down', level: range.kind === 'level' }}
                  style={{ left: `${(range.from / 256) * 100}%`, width: `${((Math.max(range.to, range.from) + 1 - range.from) / 256) * 100}%` }}
                />
              )}
            </For>
          </span>
        )}
      </For>
      {props.at === undefined ? null : <i class="range-at" style={{ left: `${((props.at + 0.5) / 256) * 100}%` }} />}
    </span>
  );
}

/** '0', '8–15'. */
export const valuesOf = (range: { from: number; to: number }): string => (range.from === range.to ? String(range.from) : `${range.from}–${range.to}`);

/** What the colours of the bars say. */
export function Legend() {
  return (
    <ul class="chart-legend fact" aria-label="Colours of the bars">
      <For each={Object.keys(SORTS) as Sort[]}>
        {(sort) => (
          <li>
            <i class={`range ${sort}`} /> {SORTS[sort]}
          </li>
        )}
      </For>
    </ul>
  );
}
