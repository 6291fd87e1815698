import { createMemo, For, Show, type JSX } from 'solid-js';
import type { Change, ChaseField, Value } from '../../change.gen';
import { follow, freeName, NOBODY, scaled, type Known } from '../../follow';
import { renamed } from '../../controller';
import { change, field, idsOf, openWhenCome, placeOf, toggleField } from '../../making';
import { now, scene } from '../../state';
import type { ChaseView } from '../../wire.gen';
import { capital, withoutName } from '../../words';
import { ChaseStrokes } from '../ChaseStrokes';
import { Act, Acts } from './Acts';
import { LookChoices } from './LookChoices';
import { NameEditor } from './NameEditor';
import { Choice, Editor, Opens, TellingSentence } from './Opens';
import { TimeEditor } from './TimeEditor';
import { Typed } from './Typed';

const TIMES = ['1 beat', '2 beats', '4 beats', '1 bar', '2 bars', '1 phrase', '2 s', '5 s'];
const FADES = ['1 beat', '2 beats', '4 beats', '1 s', '3 s'];
const ORDERS = [
  ['forward', 'forwards'],
  ['backward', 'backwards'],
  ['to and fro', 'to and fro'],
  ['random', 'in any order'],
] as const;
/** What the first of two steps has of their time, percent: straight, a little, as much again, as in triplets. */
const SWINGS = [50, 55, 60, 67];
/** What a chase may answer to. */
const STRIKES = [
  [null, 'it runs by itself'],
  ['kick', 'each kick'],
  ['snare', 'each snare'],
  ['hat', 'each hat'],
  ['drop', 'each drop'],
] as const;
const FIELDS = ['step_time', 'step_fade', 'order', 'swing', 'rounds', 'fade', 'at_each', 'calm'];
const MORE: Record<string, string> = { step_time: 'a time for all steps', step_fade: 'a fade for all steps', order: 'order', swing: 'swing', rounds: 'rounds', fade: 'fade in and out', at_each: 'an accent of the music', calm: 'calm without music' };

/** A chase that is open: its sentence, its steps in order, and what else can be done with it. */
export function ChaseMaking(props: { id: number; chase: ChaseView; start: JSX.Element }) {
  const key = (of: string) => `chase ${props.id} ${of}`;
  const each = () => props.chase.each;
  const known = createMemo<Known>((before) => follow(before, each().map((step) => JSON.stringify(step))), NOBODY);
  const told = () => new Set(props.chase.words.flatMap((word) => word.of ?? []));
  const set = (name: ChaseField, value: Value | null, answer?: (done: boolean) => void) => change({ type: 'chase_set', name: props.chase.name, field: name, value }, answer);
  const all = (of: 'time' | 'fade', value: string | null, answer?: (done: boolean) => void) => change({ type: 'steps_set', chase: props.chase.name, field: of, value }, answer);
  /** What all steps have, as they have it now; undefined where they differ. */
  const common = (of: 'time' | 'fade'): string | null | undefined => {
    const usual = of === 'time' ? props.chase.step_time : props.chase.step_fade;
    const [first, ...others] = each().map((step) => step[of] ?? usual);
    return others.every((other) => other === first) ? first : undefined;
  };
  /** All times and fades by a factor, as one change. */
  const pace = (factor: number) => {
    const changes: Change[] = [];
    const chase = props.chase.name;
    const time = scaled(props.chase.step_time ?? '1 beat', factor);
    if (time) changes.push({ type: 'chase_set', name: chase, field: 'step_time', value: time });
    const fade = props.chase.step_fade && scaled(props.chase.step_fade, factor);
    if (fade) changes.push({ type: 'chase_set', name: chase, field: 'step_fade', value: fade });
    each().forEach((step, i) => {
      for (const of of ['time', 'fade'] as const) {
        const value = step[of] && scaled(step[of], factor);
        if (value) changes.push({ type: 'step_set', chase, step: i + 1, field: of, value });
      }
    });
    change({ type: 'many', changes });
  };
  const step = () => now.chases.find((one) => one.name === props.chase.name)?.step;
  return (
    <article class="item making" classList={{ on: step() !== undefined }} data-item={`chase ${props.id}`}>
      <p class="label">
        Chase {placeOf('chase', props.id) + 1} of {idsOf('chase').length}
        <Show when={props.chase.used}>, {props.chase.used}</Show>
      </p>
      <h2 class="subtitle">
        <Opens field={key('name')} label={`Name: ${props.chase.name}`}>
          {capital(props.chase.name)}
        </Opens>
      </h2>
      <Show when={field() === key('name')}>
        <NameEditor key={key('name')} name={props.chase.name} take={(to, answer) => change({ type: 'chase_rename', name: props.chase.name, to }, renamed('chase', props.chase.name, to, answer))} />
      </Show>
      <p class="saying">
        <TellingSentence words={withoutName(props.chase.words, props.chase.name)} key={key} can={(of) => FIELDS.includes(of)} />
      </p>
      <Show when={FIELDS.some((of) => !told().has(of))}>
        <p class="saying small soft">
          Also{' '}
          <For each={FIELDS.filter((of) => !told().has(of))}>
            {(of, i) => (
              <>
                {i() > 0 ? ', ' : ''}
                <Opens field={key(of)}>{MORE[of]}</Opens>
              </>
            )}
          </For>
          .
        </p>
      </Show>
      <Show when={field() === key('step_time')}>
        <TimeEditor label="Time of every step" key={key('step_time')} value={common('time')} none="1 beat, as usual" usual={TIMES.slice(1)} take={(value, answer) => all('time', value, answer)} />
      </Show>
      <Show when={field() === key('step_fade')}>
        <TimeEditor label="Fade of every step" key={key('step_fade')} value={common('fade')} none="no fade" usual={FADES} take={(value, answer) => all('fade', value, answer)} />
      </Show>
      <Show when={field() === key('fade')}>
        <TimeEditor label="Fade in and out" key={key('fade')} value={props.chase.fade} none="at once" usual={['1 s', '3 s', '6 s']} take={(value, answer) => set('fade', value, answer)} />
      </Show>
      <Show when={field() === key('order')}>
        <Editor label="Order">
          <For each={ORDERS}>
            {([write, word]) => (
              <Choice on={(props.chase.order ?? 'forward') === write} press={() => set('order', write === 'forward' ? null : write)}>
                {word}
              </Choice>
            )}
          </For>
        </Editor>
      </Show>
      <Show when={field() === key('swing')}>
        <Editor label="Swing: two steps share their time">
          <For each={SWINGS}>
            {(first) => (
              <Choice on={Math.round(100 * props.chase.swing) === first} press={() => set('swing', first === 50 ? null : `${first} %`)}>
                {first === 50 ? 'evenly' : `${first} to ${100 - first}`}
              </Choice>
            )}
          </For>
          <Typed key={key('swing n')} label="or" after="% for the first" figures most={4} value={String(Math.round(1000 * props.chase.swing) / 10)} take={(text, answer) => set('swing', `${text} %`, answer)} />
        </Editor>
      </Show>
      <Show when={field() === key('rounds')}>
        <Editor label="Rounds">
          <Choice on={props.chase.rounds === null} press={() => set('rounds', null)}>
            until stopped
          </Choice>
          <For each={[1, 2, 4]}>
            {(rounds) => (
              <Choice on={props.chase.rounds === rounds} press={() => set('rounds', rounds)}>
                {rounds === 1 ? 'once' : `${rounds} times`}
              </Choice>
            )}
          </For>
          <Typed key={key('rounds n')} label="or" after="rounds" figures most={4} value={String(props.chase.rounds ?? '')} take={(text, answer) => set('rounds', Number.isInteger(Number(text)) ? Number(text) : text, answer)} />
        </Editor>
      </Show>
      <Show when={field() === key('calm')}>
        <Editor label="While the music is listened to and none is heard">
          <Choice on={!props.chase.calm} press={() => set('calm', null)}>
            it goes on
          </Choice>
          <Choice on={props.chase.calm} press={() => set('calm', true)}>
            it stands, calm
          </Choice>
        </Editor>
      </Show>
      <Show when={field() === key('at_each')}>
        <Editor label="While it is on it waits, and runs through its steps once at">
          <For each={STRIKES}>
            {([write, word]) => (
              <Choice on={props.chase.at_each === write} press={() => set('at_each', write)}>
                {word}
              </Choice>
            )}
          </For>
          <p class="fact">Until then, and after its fade, its lights are as without it. The flash limits hold.</p>
        </Editor>
      </Show>
      <ChaseStrokes chase={props.chase} />
      <div class="acts">
        {props.start}
        <Act press={() => pace(2)}>Half pace</Act>
        <Act press={() => pace(0.5)}>Double pace</Act>
      </div>
      <ol class="chase-steps" aria-label="Steps">
        <For each={known().ids}>
          {(id) => <StepRow chase={props.chase} number={known().ids.indexOf(id) + 1} key={(of) => key(`${id} ${of}`)} on={step() === known().ids.indexOf(id)} />}
        </For>
      </ol>
      <div class="acts">
        <button type="button" class="handle act" classList={{ chosen: field() === key('add') }} data-opens={key('add')} aria-expanded={field() === key('add')} onClick={(event) => toggleField(key('add'), event.detail === 0)}>
          Add steps
        </button>
      </div>
      <Show when={field() === key('add')}>
        <Editor label="Add steps, a tap for each">
          <LookChoices chosen={() => false} press={(look) => change({ type: 'step_add', chase: props.chase.name, look, time: null, fade: null, at: null })} />
        </Editor>
      </Show>
      <Acts
        kind="chase"
        id={props.id}
        copy={() => {
          const to = freeName(props.chase.name, scene()?.chases.map((chase) => chase.name) ?? []);
          change({ type: 'chase_duplicate', name: props.chase.name, to }, (done) => done && openWhenCome('chase', to));
        }}
        remove={() => change({ type: 'chase_remove', name: props.chase.name })}
      />
    </article>
  );
}

function StepRow(props: { chase: ChaseView; number: number; key: (of: string) => string; on: boolean }) {
  const step = createMemo((before: { look: string; time: string | null; fade: string | null } | undefined) => props.chase.each[props.number - 1] ?? before);
  const colour = () => props.chase.colours[props.number - 1] ?? '#888888';
  const set = (of: 'look' | 'time' | 'fade', value: Value | null, answer?: (done: boolean) => void) =>
    change({ type: 'step_set', chase: props.chase.name, step: props.number, field: of, value }, answer);
  const move = (by: number) => change({ type: 'step_move', chase: props.chase.name, step: props.number, to: props.number + by });
  return (
    <li class="chase-step" classList={{ present: props.on }}>
      <span class="cue-number">{props.number}</span>
      <div>
        <p class="saying small">
          <Opens field={props.key('look')} colour={colour()}>
            {step()?.look}
          </Opens>
          {', '}
          <Opens field={props.key('time')}>{step()?.time ?? 'its time as all'}</Opens>
          {', '}
          <Opens field={props.key('fade')}>{step()?.fade ? `fade ${step()?.fade}` : 'fade as all'}</Opens>
        </p>
        <Show when={field() === props.key('look')}>
          <Editor label={`Step ${props.number}`}>
            <LookChoices chosen={(name) => step()?.look === name} press={(name) => set('look', name)} />
            <div class="acts">
              <Act disabled={props.number === 1} press={() => move(-1)}>
                Step up
              </Act>
              <Act disabled={props.number === props.chase.each.length} press={() => move(1)}>
                Step down
              </Act>
              <Act press={() => change({ type: 'step_remove', chase: props.chase.name, step: props.number })}>Take it out</Act>
            </div>
          </Editor>
        </Show>
        <Show when={field() === props.key('time')}>
          <TimeEditor label={`Time of step ${props.number}`} key={props.key('time')} value={step()?.time ?? null} none="as all" usual={TIMES} take={(value, answer) => set('time', value, answer)} />
        </Show>
        <Show when={field() === props.key('fade')}>
          <TimeEditor label={`Fade of step ${props.number}`} key={props.key('fade')} value={step()?.fade ?? null} none="as all" usual={FADES} take={(value, answer) => set('fade', value, answer)} />
        </Show>
      </div>
    </li>
  );
}
