import { createEffect, createMemo, createSignal, For, on, onCleanup, Show } from 'solid-js';
import { kindOf, openCharting, openChartOf, questionsOf, setTried, tried } from '../../charts';
import { change } from '../../making';
import { added, emptied, harm, isWide, joined, meaningOf, MEANINGS, meant, moved, nameOf, rangeAt, rangeTable, sortOf, split } from '../../meanings';
import { lightOf, scene, up } from '../../state';
import type { ChannelReading, ModeReading, RangeReading, UnitView } from '../../wire.gen';
import { hexOf, level } from '../../words';
import { Act } from '../make/Acts';
import { Bar, Legend, valuesOf } from './Bar';

/** The mode that a light is in, as the show describes it now; anew after each change. */
export function modeOf(unit: () => UnitView): () => ModeReading | undefined {
  const [mode, setMode] = createSignal<ModeReading>();
  let turn = 0;
  const kind = () => scene() && unit().kind;
  createEffect(
    on([scene, kind, () => unit().mode], async () => {
      const mine = ++turn;
      const view = await kindOf(unit().kind);
      if (view && mine === turn) setMode(view.reading.modes.find((one) => one.name === unit().mode));
    }),
  );
  return mode;
}

/** Puts a channel's ranges into the show: one change. */
export function putRanges(unit: UnitView, mode: ModeReading, channel: ChannelReading, ranges: readonly RangeReading[], answer?: (done: boolean, says: string) => void): void {
  const wide = isWide(mode, channel);
  change(
    { type: 'profile_channel_set', profile: unit.kind, mode: mode.name, channel: channel.ch, name: null, ranges: ranges.map((range) => rangeTable(range, wide)) },
    answer,
  );
}

/** What the light does now, as the stand-in has it from the very bytes that are sent. */
export function Seen(props: { unit: UnitView }) {
  const light = () => lightOf(props.unit.number);
  const head = () => light()?.heads[0];
  return (
    <p class="fact chart-seen">
      The stand-in:{' '}
      <Show when={head()} fallback="nothing is known of it yet">
        {(head) => (
          <>
            <i class="chart-swatch" style={{ background: head().level < 0.005 ? '#000' : hexOf(head().rgb) }} /> {level(head().level)}
            {head().strobe_hz > 0 ? `, ${head().strobe_hz.toFixed(1)} flashes a second` : ''}
            {head().gobo ? `, pattern ${head().gobo}` : ''}
            {light()?.moving ? ', on its way' : ''}
          </>
        )}
      </Show>
    </p>
  );
}

/** What a light's channels do: tried on the light itself, and set range by range. */
export function Channels(props: { unit: UnitView }) {
  const mode = modeOf(() => props.unit);
  const [open, setOpen] = createSignal<number | null>(null);
  const others = () => (scene()?.units.filter((one) => one.kind === props.unit.kind && one.mode === props.unit.mode).length ?? 1) - 1;
  onCleanup(() => setTried(null));
  const toggle = (ch: number) => {
    setTried(null);
    setOpen(open() === ch ? null : ch);
  };
  return (
    <div class="channels">
      <p class="label">
        Light {props.unit.number}, {props.unit.kind}
      </p>
      <h1 class="title">Its channels</h1>
      <p class="saying small soft">
        As mode {props.unit.mode} has them. What is set here holds for every light of this kind in this mode{others() > 0 ? `, ${others()} more of them` : ''}.
      </p>
      <Seen unit={props.unit} />
      <div class="acts">
        <Show when={props.unit.address !== null}>
          <Act press={() => openCharting({ view: 'finder', unit: props.unit.number })}>Channel finder</Act>
        </Show>
        <Show when={questionsOf(props.unit.kind) !== null}>
          <Act press={() => void openChartOf(props.unit.kind)}>Its chart</Act>
        </Show>
        <Act press={() => openCharting(null)}>Close</Act>
      </div>
      <p class="fact caution">
        While a value is tried the light is lit at full, and the master does not hold that channel; the stop keys do. See that nobody looks into
        the light or stands where its head can swing.
      </p>
      <Legend />
      <Show when={mode()} fallback={<p class="saying small soft">The channels are on their way.</p>}>
        {(mode) => (
          <ol class="chart-channels">
            <For each={mode().channels.map((one) => one.ch)}>
              {(ch) => {
                const channel = () => mode().channels.find((one) => one.ch === ch);
                return (
                  <Show when={channel()}>
                    {(channel) => (
                      <li class="chart-channel" classList={{ marked: open() === ch }} data-ch={ch}>
                        <button type="button" class="chart-channel-head" aria-expanded={open() === ch} onClick={() => toggle(ch)}>
                          <b>{ch}</b> <span>{nameOf(channel())}</span>
                          <Show when={channel().fine_of}>{(coarse) => <span class="fact"> fine byte of {coarse()}</span>}</Show>
                          <Bar channel={channel()} at={tried()?.channel === ch ? tried()!.value : undefined} />
                        </button>
                        <Show when={open() === ch}>
                          <Show when={props.unit.address !== null} fallback={<p class="fact">It has no address: nothing can be tried on it.</p>}>
                            <Try unit={props.unit} channel={channel()} />
                          </Show>
                          <Show when={channel().fine_of == null} fallback={<p class="fact">Its ranges are those of channel {channel().fine_of}.</p>}>
                            <RangeEditors unit={props.unit} mode={mode()} channel={channel()} />
                          </Show>
                        </Show>
                      </li>
                    )}
                  </Show>
                );
              }}
            </For>
          </ol>
        )}
      </Show>
    </div>
  );
}

/** A value for one channel, sent as it is while this is open; what may do harm wants a second press. */
export function Try(props: { unit: UnitView; channel: ChannelReading }) {
  const [value, setValue] = createSignal<number | null>(null);
  const careful = () => (value() === null ? null : harm(rangeAt(props.channel, value()!)));
  const sent = () => tried()?.channel === props.channel.ch && tried()?.value === value();
  const put = (next: number) => {
    if (!Number.isFinite(next)) return;
    const held = Math.min(255, Math.max(0, Math.round(next)));
    setValue(held);
    if (!harm(rangeAt(props.channel, held))) setTried({ unit: props.unit.number, channel: props.channel.ch, value: held, sure: false });
    else setTried(null);
  };
  const letGo = () => {
    setValue(null);
    setTried(null);
  };
  return (
    <div class="chart-try" role="group" aria-label="Try a value">
      <label>
        <span class="fact">try a value on the light</span>
        <input type="range" min="0" max="255" step="1" value={value() ?? 0} aria-label={`value of channel ${props.channel.ch}`} onInput={(event) => put(event.currentTarget.valueAsNumber)} />
      </label>
      <input type="number" min="0" max="255" step="1" aria-label={`value of channel ${props.channel.ch}, as a number`} value={value() ?? ''} placeholder="–" onChange={(event) => put(event.currentTarget.valueAsNumber)} />
      <Show when={value() !== null}>
        <Act press={letGo}>Let go</Act>
      </Show>
      <Show when={careful() !== null && !sent()}>
        <p class="why chart-careful">
          {careful()}{' '}
          <button type="button" class="key" aria-disabled={!up()} onClick={() => setTried({ unit: props.unit.number, channel: props.channel.ch, value: value()!, sure: true })}>
            Send {value()} all the same
          </button>
        </p>
      </Show>
    </div>
  );
}

function RangeEditors(props: { unit: UnitView; mode: ModeReading; channel: ChannelReading }) {
  const [why, setWhy] = createSignal('');
  const put = (ranges: readonly RangeReading[] | null) => {
    if (!ranges) return;
    putRanges(props.unit, props.mode, props.channel, ranges, (done, says) => setWhy(done ? '' : says));
  };
  const ranges = createMemo(() => props.channel.ranges);
  const change = (at: number, range: RangeReading) => put(ranges().map((one, place) => (place === at ? range : one)));
  return (
    <div class="range-editors">
      <Show when={why()}>
        <p class="why" role="alert">
          {why()}
        </p>
      </Show>
      <For each={ranges()}>
        {(range, at) => (
          <fieldset class="range-editor" data-range={valuesOf(range)}>
            <legend class="fact">
              <i class={`range ${sortOf(range)}`} /> {valuesOf(range)}
              <Show when={range.when}>{(when) => <> while channel {when().ch} is {valuesOf(when())}</>}</Show>
            </legend>
            <label class="typed">
              <span class="fact">from</span>
              <input class="figures" type="number" min="0" max="255" value={range.from} onChange={(event) => put(moved(ranges(), at(), 'from', event.currentTarget.valueAsNumber))} />
            </label>
            <label class="typed">
              <span class="fact">to</span>
              <input class="figures" type="number" min="0" max="255" value={range.to} onChange={(event) => put(moved(ranges(), at(), 'to', event.currentTarget.valueAsNumber))} />
            </label>
            <label class="typed">
              <span class="fact">does</span>
              <select
                onChange={(event) => {
                  const meaning = MEANINGS[Number(event.currentTarget.value)];
                  if (meaning) change(at(), meant(range, meaning));
                }}
              >
                <Show when={meaningOf(range) < 0}>
                  <option value="-1" selected>
                    {range.attr}
                  </option>
                </Show>
                <For each={MEANINGS}>
                  {(meaning, place) => (
                    <option value={place()} selected={meaningOf(range) === place()}>
                      {meaning.says}
                    </option>
                  )}
                </For>
              </select>
            </label>
            <label class="typed wide">
              <span class="fact">the chart’s words</span>
              <input type="text" maxlength="120" value={range.label} onChange={(event) => change(at(), { ...range, label: event.currentTarget.value.trim(), origin: 'stated' })} />
            </label>
            <div class="acts">
              <Show when={range.kind === 'level'}>
                <Act press={() => change(at(), { ...range, dir: range.dir === 'down' ? 'up' : 'down', origin: 'stated', ...(range.phys ? { phys: [range.phys[1], range.phys[0]] } : {}) })}>
                  {range.dir === 'down' ? 'Less with a larger value' : 'More with a larger value'}
                </Act>
              </Show>
              <Act disabled={range.from === range.to} press={() => put(split(ranges(), at()))} label={`Split: ${valuesOf(range)}`}>
                Split
              </Act>
              <Act disabled={joined(ranges(), at()) === null} press={() => put(joined(ranges(), at()))} label={`Join with the next: ${valuesOf(range)}`}>
                Join with the next
              </Act>
              <Act disabled={range.attr === 'NoFeature'} press={() => put(emptied(ranges(), at()))} label={`Delete: ${valuesOf(range)}`}>
                Delete
              </Act>
            </div>
          </fieldset>
        )}
      </For>
      <Show when={added(ranges())}>
        <Act press={() => put(added(ranges()))}>Add a range</Act>
      </Show>
    </div>
  );
}

export const channelWords = (channel: ChannelReading): string => `Channel ${channel.ch}, ${nameOf(channel)}`;
