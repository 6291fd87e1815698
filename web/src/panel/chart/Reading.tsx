import { createEffect, createMemo, createSignal, For, on, Show } from 'solid-js';
import { answer, asked, isAsked, openQuestions, questionOf, reading, setAsked, text } from '../../charts';
import { nameOf, SORTS, sortOf, told } from '../../meanings';
import type { ChannelReading, Choice as Possible, ModeReading, Question } from '../../wire.gen';
import { Choice } from '../make/Opens';
import { Bar, Legend, valuesOf } from './Bar';

/** '1 question is open', '3 questions are open', 'no question is open'. */
export function openWords(count: number): string {
  if (count === 0) return 'no question is open';
  return count === 1 ? '1 question is open' : `${count} questions are open`;
}

/** What was read: a mode at a time, its channels with their bars, and the questions where they arise. */
export function ReadingOf() {
  const [modeName, setModeName] = createSignal<string>();
  const mode = createMemo(() => reading().modes.find((one) => one.name === modeName()) ?? reading().modes[0]);
  const open = (name: string) => openQuestions().filter((one) => one.mode === name).length;
  const general = () => reading().questions.filter((one) => one.ch == null && (one.mode == null || one.mode === mode()?.name));
  // A marked question is looked at in its own mode.
  createEffect(
    on(asked, (id) => {
      const of = questionOf(id)?.mode;
      if (of) setModeName(of);
    }),
  );
  return (
    <div class="reading">
      <Show when={mode()} fallback={<p class="saying small soft">{text().trim() === '' ? 'The reading stands here as soon as something is pasted.' : 'No channel is found in this text yet. Paste the rows of the manual’s table: each channel’s number, its values, and what they do.'}</p>}>
        {(mode) => (
          <>
            <Show when={reading().modes.length > 1}>
              <div class="chart-modes" role="group" aria-label="Modes">
                <For each={reading().modes.map((one) => one.name)}>
                  {(name) => (
                    <Choice on={mode().name === name} press={() => setModeName(name)}>
                      {name}
                      <Show when={open(name) > 0}>
                        {' '}
                        <span class="fact">{open(name)}&nbsp;?</span>
                      </Show>
                    </Choice>
                  )}
                </For>
              </div>
            </Show>
            <p class="fact">
              {mode().name}: {mode().footprint === 1 ? 'one channel' : `${mode().footprint} channels`}. {mode().steady_on === null ? 'No values are known that give steady light.' : 'Steady light is known.'}
            </p>
            <Legend />
            <For each={general().map((one) => one.id)}>{(id) => <Asked id={id} />}</For>
            <ol class="chart-channels">
              <For each={mode().channels.map((one) => one.ch)}>{(ch) => <Channel mode={mode()} ch={ch} />}</For>
            </ol>
          </>
        )}
      </Show>
    </div>
  );
}

/** A channel: its number, name and bar; opened, its ranges in words. */
function Channel(props: { mode: ModeReading; ch: number }) {
  const channel = (): ChannelReading | undefined => props.mode.channels.find((one) => one.ch === props.ch);
  const questions = () => reading().questions.filter((one) => one.mode === props.mode.name && one.ch === props.ch);
  const [open, setOpen] = createSignal(false);
  const here = () => questions().some((one) => one.id === asked());
  const marked = (range: ChannelReading['ranges'][number]) => isAsked(range, props.mode.name, props.ch);
  return (
    <Show when={channel()}>
      {(channel) => (
        <li class="chart-channel" classList={{ marked: here() }} data-ch={props.ch}>
          <button type="button" class="chart-channel-head" aria-expanded={open() || here()} onClick={() => setOpen(!open())}>
            <b>{props.ch}</b> <span>{nameOf(channel())}</span>
            <Show when={channel().fine_of}>{(coarse) => <span class="fact"> fine byte of {coarse()}</span>}</Show>
            <Bar channel={channel()} marked={marked} />
            <Show when={!(open() || here())}>
              <span class="fact chart-short">{short(channel())}</span>
            </Show>
          </button>
          <Show when={open() || here()}>
            <Ranges channel={channel()} marked={marked} />
          </Show>
          <For each={questions().map((one) => one.id)}>{(id) => <Asked id={id} />}</For>
        </li>
      )}
    </Show>
  );
}

/** Every range in words. */
export function Ranges(props: { channel: ChannelReading; marked?: (range: ChannelReading['ranges'][number]) => boolean }) {
  return (
    <ul class="chart-ranges">
      <For each={props.channel.ranges}>
        {(range) => (
          <li classList={{ marked: props.marked?.(range) ?? false }}>
            <i class={`range ${sortOf(range)}`} title={SORTS[sortOf(range)]} /> <span class="number">{valuesOf(range)}</span> {told(range)}
            <Show when={range.when}>{(when) => <span class="fact"> while channel {when().ch} is {valuesOf(when())}</span>}</Show>
            <Show when={range.danger}>
              <span class="fact bright"> take care: {range.danger}</span>
            </Show>
            <Show when={range.origin === 'guessed'}>
              <span class="fact"> a guess</span>
            </Show>
          </li>
        )}
      </For>
    </ul>
  );
}

function short(channel: ChannelReading): string {
  const words = channel.ranges.slice(0, 3).map((range) => `${valuesOf(range)} ${told(range)}`);
  return words.join(', ') + (channel.ranges.length > 3 ? ` and ${channel.ranges.length - 3} more` : '') || 'its values are not known';
}

/** A question with the words that raised it; answered, one line that can be opened again. */
export function Asked(props: { id: string }) {
  const question = () => questionOf(props.id);
  const answered = () => question()?.answers.find((one) => one.value === question()?.answered);
  const words = (it: Question) => {
    const rows = text().split('\n');
    return it.lines.slice(0, 3).map((line) => rows[line - 1]?.trim().replace(/\s+/g, ' ') ?? '').filter((row) => row !== '');
  };
  let place: HTMLDivElement | undefined;
  // Marked from the text, it comes into view.
  createEffect(on(asked, (id) => id === props.id && place?.scrollIntoView({ block: 'nearest' }), { defer: true }));
  const toggle = () => setAsked(asked() === props.id ? null : props.id);
  return (
    <Show when={question()}>
      {(it) => (
        <div class="chart-question" ref={place} classList={{ answered: it().answered != null, marked: asked() === props.id }} data-question={props.id}>
          <button type="button" class="chart-question-words" aria-pressed={asked() === props.id} onClick={toggle}>
            <span class="chart-mark" aria-hidden="true">
              {it().answered == null ? '?' : '✓'}
            </span>
            <span>{it().text}</span>
            <For each={words(it())}>{(row) => <q class="chart-quote">{row}</q>}</For>
          </button>
          <Show
            when={it().answered == null}
            fallback={
              <p class="fact">
                Answered: {answered()?.text ?? it().answered}.{' '}
                <button type="button" class="handle" onClick={() => answer(props.id, null)}>
                  Open it again
                </button>
              </p>
            }
          >
            <Answers question={it()} />
          </Show>
        </div>
      )}
    </Show>
  );
}

/** So many answers that are numbers stand there at once. */
const FEW = 11;
const EQUAL = /^(\d+) equal steps$/;

/** What can be answered, one press each. Numbers stand as numbers, and the larger ones behind a word. */
function Answers(props: { question: Question }) {
  const [all, setAll] = createSignal(false);
  const words = () => props.question.answers.filter((one) => !EQUAL.test(one.text));
  const numbers = () => props.question.answers.filter((one) => EQUAL.test(one.text));
  const shown = () => (all() ? numbers() : numbers().slice(0, FEW));
  return (
    <div class="chart-answers" role="group" aria-label={props.question.text}>
      <For each={words()}>{(choice) => <AnswerKey id={props.question.id} choice={choice} words={choice.text} />}</For>
      <Show when={numbers().length > 0}>
        <span class="fact">or so many equal steps:</span>
        <For each={shown()}>{(choice) => <AnswerKey id={props.question.id} choice={choice} words={EQUAL.exec(choice.text)![1]!} />}</For>
        <Show when={!all() && numbers().length > FEW}>
          <button type="button" class="handle" onClick={() => setAll(true)}>
            more
          </button>
        </Show>
      </Show>
    </div>
  );
}

function AnswerKey(props: { id: string; choice: Possible; words: string }) {
  return (
    <button type="button" class="chart-answer" data-value={props.choice.value} aria-label={props.choice.text} onClick={() => answer(props.id, props.choice.value)}>
      {props.words}
    </button>
  );
}
