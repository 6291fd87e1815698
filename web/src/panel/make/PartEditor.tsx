import { createEffect, createMemo, For, Match, onCleanup, Show, Switch } from 'solid-js';
import type { Change, PartField, Value } from '../../change.gen';
import { change, setSpoken, toggleField } from '../../making';
import { scene } from '../../state';
import type { PartView } from '../../wire.gen';
import { Act } from './Acts';
import { ColoursEditor } from './ColoursEditor';
import { FigureEditor } from './FigureEditor';
import { LevelEditor } from './LevelEditor';
import { Choice, Editor } from './Opens';
import { Typed } from './Typed';
import { WhereEditor } from './WhereEditor';
import { WhoEditor } from './WhoEditor';

/** A part of a look that is open for making. */
export type OpenPart = { look: string; number: number; count: number; part: PartView; key: (of: string) => string };

/** The words by which the fields of a sentence are offered; those that read `false` are set with another. */
const WORDS: readonly (readonly [PartField, string])[] = [
  ['who', 'who'],
  ['aim', 'where'],
  ['figure', 'a figure'],
  ['colour', 'colour'],
  ['level', 'how bright'],
  ['sound', 'with the sound'],
  ['sound_colour', 'colour with the sound'],
  ['strobe', 'flashing'],
  ['gobo', 'a pattern'],
  ['prism', 'the prism'],
  ['match', 'lights that meet in colour'],
  ['mixing', 'how colours are mixed'],
  ['zoom', 'zoom'],
  ['frost', 'frost'],
  ['iris', 'iris'],
  ['focus', 'focus'],
  ['haze', 'haze'],
  ['fan', 'fan'],
];

/** The parts of the sound that a level may go with. */
const SOUNDS: readonly (readonly [string | null, string])[] = [
  [null, 'steady'],
  ['low', 'low: kick and bass'],
  ['middle', 'middle: voices'],
  ['high', 'high: cymbals'],
];

/** Fields that have an editor of their own word. */
export const canOpen = (of: string) => WORDS.some(([name]) => name === of);

/** Sets a field of a part; null clears it. */
export function setPart(open: OpenPart, field: PartField, value: Value | null, answer?: (done: boolean) => void): void {
  change({ type: 'part_set', look: open.look, part: open.number, field, value }, answer);
}

/** The editor of one field, or of what else a sentence may say. */
export function PartEditor(props: { open: OpenPart; field: string; told: ReadonlySet<string> }) {
  // Who is spoken of is marked in the room.
  createEffect(() => setSpoken(props.open.part.lights));
  onCleanup(() => setSpoken(null));
  return (
    <Switch fallback={<MeasureEditor open={props.open} field={props.field as PartField} />}>
      <Match when={props.field === 'more'}>
        <MoreEditor open={props.open} told={props.told} />
      </Match>
      <Match when={props.field === 'who'}>
        <WhoEditor
          who={props.open.part.values.who ?? null}
          lights={props.open.part.lights}
          take={(who) => setPart(props.open, 'who', who)}
        />
      </Match>
      <Match when={props.field === 'aim'}>
        <WhereEditor open={props.open} />
      </Match>
      <Match when={props.field === 'colour'}>
        <ColoursEditor open={props.open} />
      </Match>
      <Match when={props.field === 'level'}>
        <LevelEditor open={props.open} />
      </Match>
      <Match when={props.field === 'figure'}>
        <FigureEditor open={props.open} />
      </Match>
      <Match when={props.field === 'sound' || props.field === 'sound_colour'}>
        <SoundEditor open={props.open} field={props.field} />
      </Match>
      <Match when={props.field === 'strobe'}>
        <StrobeEditor open={props.open} />
      </Match>
      <Match when={props.field === 'gobo'}>
        <ListEditor open={props.open} field="gobo" label="Pattern" none="no pattern" words={props.open.part.gobos} nothing="None of these lights has patterns." />
      </Match>
      <Match when={props.field === 'mixing'}>
        <ListEditor open={props.open} field="mixing" label="How colours are mixed" none="as usual" words={['most light', 'best rendering', 'least power']} />
      </Match>
      <Match when={props.field === 'prism' || props.field === 'match'}>
        <FlagEditor open={props.open} field={props.field as 'prism' | 'match'} />
      </Match>
    </Switch>
  );
}

/** What goes with which part of the sound: the level, or the colour. */
function SoundEditor(props: { open: OpenPart; field: string }) {
  const of = (field: PartField, value: Value | null): Change => ({ type: 'part_set', look: props.open.look, part: props.open.number, field, value });
  const sound = () => (props.open.part.values.sound ?? null) as string | null;
  const colour = () => (props.open.part.values.sound_colour ?? null) as string | null;
  // A colour without a part of the sound means nothing.
  const setSound = (write: string | null) => change(write === null && colour() !== null ? { type: 'many', changes: [of('sound_colour', null), of('sound', null)] } : of('sound', write));
  const setColour = (write: string, answer: (done: boolean) => void) =>
    change({ type: 'many', changes: [...(sound() === null ? [of('sound', 'low')] : []), of('sound_colour', write.trim() === '' ? null : write)] }, answer);
  return (
    <Editor label="It goes with the sound, while there is music">
      <For each={SOUNDS}>
        {([write, word]) => (
          <Choice on={sound() === write} press={() => setSound(write)}>
            {word}
          </Choice>
        )}
      </For>
      <Choice on={sound() !== null && colour() === null} press={() => change(sound() === null ? of('sound', 'low') : of('sound_colour', null))}>
        its level
      </Choice>
      <Typed key={props.open.key(`${props.field} colour`)} label="its colour, from" most={40} value={colour() ?? ''} empty take={setColour} />
    </Editor>
  );
}

/** What a sentence does not say yet, its place, and its end. */
function MoreEditor(props: { open: OpenPart; told: ReadonlySet<string> }) {
  const untold = createMemo(() => WORDS.filter(([name]) => !props.told.has(name)));
  const move = (by: number) => change({ type: 'part_move', look: props.open.look, part: props.open.number, to: props.open.number + by });
  return (
    <Editor label="More for this sentence" class="more-editor">
      <p class="fact">It could also say</p>
      <div class="choice-row">
        <For each={untold()}>
          {([name, word]) => (
            <button type="button" class="choice" onClick={(event) => toggleField(props.open.key(name), event.detail === 0)}>
              {word}
            </button>
          )}
        </For>
      </div>
      <div class="acts">
        <Show when={props.open.count > 1}>
          <Act disabled={props.open.number === 1} press={() => move(-1)}>
            Sentence up
          </Act>
          <Act disabled={props.open.number === props.open.count} press={() => move(1)}>
            Sentence down
          </Act>
        </Show>
        <Act press={() => change({ type: 'part_remove', look: props.open.look, part: props.open.number })}>Take it away</Act>
      </div>
    </Editor>
  );
}

function StrobeEditor(props: { open: OpenPart }) {
  const limit = () => scene()?.flash_limit_hz ?? 3;
  const usual = () => [1, 2, 3].filter((hz) => hz <= limit()).map((hz) => `${hz} Hz`);
  return (
    <Editor label="Flashing">
      <Choice on={props.open.part.values.strobe === undefined} press={() => setPart(props.open, 'strobe', null)}>
        steady
      </Choice>
      <For each={usual()}>
        {(rate) => (
          <Choice on={props.open.part.values.strobe === rate} press={() => setPart(props.open, 'strobe', rate)}>
            {rate}
          </Choice>
        )}
      </For>
      <Typed
        key={`${props.open.key('strobe')} rate`}
        label="or"
        after="flashes a second"
        value={String(props.open.part.values.strobe ?? '').replace(/ Hz$/, '')}
        most={8}
        figures
        take={(text, answer) => setPart(props.open, 'strobe', /Hz$/.test(text) ? text : `${text} Hz`, answer)}
      />
      <span class="fact caution-words">
        Held to {limit()} a second. Flashing light can bring on seizures: tell everybody in the room, and keep to the rules of the venue.
      </span>
    </Editor>
  );
}

function ListEditor(props: { open: OpenPart; field: 'gobo' | 'mixing'; label: string; none: string; words: readonly string[]; nothing?: string }) {
  return (
    <Editor label={props.label}>
      <Choice on={props.open.part.values[props.field] === undefined} press={() => setPart(props.open, props.field, null)}>
        {props.none}
      </Choice>
      <For each={props.words}>
        {(word) => (
          <Choice on={props.open.part.values[props.field] === word} press={() => setPart(props.open, props.field, word)}>
            {word}
          </Choice>
        )}
      </For>
      <Show when={props.words.length === 0}>
        <span class="fact">{props.nothing}</span>
      </Show>
    </Editor>
  );
}

function FlagEditor(props: { open: OpenPart; field: 'prism' | 'match' }) {
  const words = () => (props.field === 'prism' ? (['without the prism', 'through the prism'] as const) : (['each light as it can', 'meeting on what all can reach'] as const));
  return (
    <Editor label={props.field === 'prism' ? 'Prism' : 'Meeting in colour'}>
      <Choice on={props.open.part.values[props.field] !== true} press={() => setPart(props.open, props.field, null)}>
        {words()[0]}
      </Choice>
      <Choice on={props.open.part.values[props.field] === true} press={() => setPart(props.open, props.field, true)}>
        {words()[1]}
      </Choice>
    </Editor>
  );
}

/** Any other field, as it is written. */
function MeasureEditor(props: { open: OpenPart; field: PartField }) {
  return (
    <Editor label={props.field}>
      <Choice on={props.open.part.values[props.field] === undefined} press={() => setPart(props.open, props.field, null)}>
        as usual
      </Choice>
      <Typed
        key={`${props.open.key(props.field)} value`}
        label={props.field}
        value={String(props.open.part.values[props.field] ?? '')}
        placeholder={props.field === 'zoom' ? '25°' : '40 %'}
        most={20}
        shuts
        take={(text, answer) => setPart(props.open, props.field, text, answer)}
      />
    </Editor>
  );
}
