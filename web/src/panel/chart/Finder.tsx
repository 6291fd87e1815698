import { createEffect, createMemo, createSignal, For, on, onCleanup, Show } from 'solid-js';
import { openCharting, openChartOf, questionsOf, setTried, tried } from '../../charts';
import { expected, finderSteps, SEEN, seenAs, told, says, type FinderStep } from '../../meanings';
import { up } from '../../state';
import type { UnitView } from '../../wire.gen';
import { Act } from '../make/Acts';
import { Bar, valuesOf } from './Bar';
import { channelWords, modeOf, putRanges, Seen } from './Channels';

/** Ends of a level come and go so slowly: no flash. */
const TURN_MS = 1700;

/** What was found of a step. */
type Found = { key: string; says: string; other: boolean };
const keyOf = (step: FinderStep) => `${step.channel.ch} ${step.range.from} ${JSON.stringify(step.range.when ?? null)}`;

/** Steps one channel of a light at a time through telling values, and asks what was seen. */
export function Finder(props: { unit: UnitView }) {
  const mode = modeOf(() => props.unit);
  const steps = createMemo(() => (mode() ? finderSteps(mode()!) : []));
  const [at, setAt] = createSignal(0);
  const [found, setFound] = createSignal<readonly Found[]>([]);
  const [said, setSaid] = createSignal('');
  const [sure, setSure] = createSignal<string | null>(null);
  const step = () => steps()[at()];
  const channels = () => mode()?.channels.filter((one) => one.fine_of == null) ?? [];
  const may = (it: FinderStep) => it.careful === null || sure() === keyOf(it);
  const others = () => found().filter((one) => one.other);

  // The values of the step, one after the other.
  createEffect(
    on(
      () => {
        const it = step();
        return it && may(it) && up() ? `${keyOf(it)} ${it.values.join()} ${props.unit.number}` : '';
      },
      (key) => {
        const it = step();
        if (key === '' || !it) return void setTried(null);
        let turn = it.values.length - 1;
        const send = () => setTried({ unit: props.unit.number, channel: it.channel.ch, value: it.values[turn]!, sure: sure() === keyOf(it) });
        send();
        if (it.values.length < 2) return;
        const timer = setInterval(() => {
          turn = (turn + 1) % it.values.length;
          send();
        }, TURN_MS);
        onCleanup(() => clearInterval(timer));
      },
    ),
  );
  onCleanup(() => setTried(null));

  // A new step is read from its top.
  createEffect(on(at, () => document.querySelector('.column')?.scrollTo({ top: 0 }), { defer: true }));

  const note = (it: FinderStep, words: string, other: boolean) => setFound((before) => [...before.filter((one) => one.key !== keyOf(it)), { key: keyOf(it), says: words, other }]);
  const next = () => setAt(at() + 1);
  const nextChannel = () => {
    const here = step()?.channel.ch;
    const to = steps().findIndex((one, place) => place > at() && one.channel.ch !== here);
    setAt(to < 0 ? steps().length : to);
  };
  const asSaid = () => {
    const it = step();
    if (!it) return;
    setSaid('');
    note(it, `${channelWords(it.channel)}, ${valuesOf(it.range)}: as the chart says`, false);
    next();
  };
  const otherwise = (attr: string, words: string) => {
    const [it, kind] = [step(), mode()];
    if (!it || !kind) return;
    const fresh = seenAs(it.range, attr);
    const ranges = it.channel.ranges.map((range, place) => (place === it.at ? fresh : range));
    const open = attr === 'Control1' ? ' It is marked as a guess until it is found out.' : '';
    putRanges(props.unit, kind, it.channel, ranges, (done, why) => {
      if (!done) return void setSaid(why);
      const words_ = `${channelWords(it.channel)}, ${valuesOf(it.range)}: “${words}” now, and not “${says(it.range)}”, as was believed.`;
      setSaid(words_ + open);
      note(it, words_, true);
      next();
    });
  };
  return (
    <div class="finder">
      <p class="label">
        Channel finder: light {props.unit.number}, {props.unit.kind}
      </p>
      <Show
        when={step()}
        fallback={
          <Show when={mode()} fallback={<p class="saying small soft">The channels are on their way.</p>}>
            <h1 class="title">{others().length === 0 ? 'All as the chart says' : others().length === 1 ? 'One range is put right' : `${others().length} ranges are put right`}</h1>
            <p class="saying small">
              {found().length} of {steps().length} ranges were seen.
            </p>
            <ul class="finder-found">
              <For each={others()}>{(one) => <li>{one.says}</li>}</For>
            </ul>
          </Show>
        }
      >
        {(it) => (
          <>
            <h1 class="title">{channelWords(it().channel)}</h1>
            <p class="fact">
              Channel {channels().findIndex((one) => one.ch === it().channel.ch) + 1} of {channels().length}, values {valuesOf(it().range)}
              {tried() ? `; ${tried()!.value} is sent` : ''}
            </p>
            <Bar channel={it().channel} marked={(range) => range === it().range} at={tried()?.value} />
            <p class="saying finder-expected" aria-live="polite">
              {expected(it().range)}
            </p>
            <Seen unit={props.unit} />
            <Show
              when={may(it())}
              fallback={
                <p class="why chart-careful">
                  {it().careful}{' '}
                  <button type="button" class="key" aria-disabled={!up()} onClick={() => setSure(keyOf(it()))}>
                    Try it all the same
                  </button>
                </p>
              }
            >
              <p class="saying small">What do you see?</p>
              <button type="button" class="key finder-yes" aria-disabled={!up()} onClick={asSaid}>
                Yes, that <span class="fact">{told(it().range)}</span>
              </button>
              <div class="chart-answers" role="group" aria-label="No, but">
                <For each={SEEN.filter((one) => one.attr !== it().range.attr)}>
                  {(one) => (
                    <button type="button" class="chart-answer" data-seen={one.says} aria-disabled={!up()} onClick={() => up() && otherwise(one.attr, one.says)}>
                      {one.says}
                    </button>
                  )}
                </For>
              </div>
            </Show>
          </>
        )}
      </Show>
      <Show when={step() && said()}>
        <p class="saying small bright finder-said" role="status">
          {said()}
        </p>
      </Show>
      <div class="acts">
        <Act disabled={at() === 0} press={() => setAt(at() - 1)}>
          Back
        </Act>
        <Act disabled={!step()} press={next}>
          Cannot say
        </Act>
        <Act disabled={!step()} press={nextChannel}>
          Next channel
        </Act>
        <Act press={() => openCharting({ view: 'channels', unit: props.unit.number })}>Its channels</Act>
        <Show when={questionsOf(props.unit.kind) !== null}>
          <Act press={() => void openChartOf(props.unit.kind)}>Its chart</Act>
        </Show>
        <Act press={() => openCharting(null)}>Close</Act>
      </div>
      <p class="fact caution">
        The light is lit at full meanwhile. Where its chart is wrong it may flash or swing without a warning: nobody looks into it, and nobody who flashes
        may harm is in the room.
      </p>
    </div>
  );
}
