import { For, Show } from 'solid-js';
import type { CueField, Value } from '../../change.gen';
import { change, field, idsOf, toggleField } from '../../making';
import { takeCue } from '../../act';
import { now, scene, up } from '../../state';
import type { CueView } from '../../wire.gen';
import { capital } from '../../words';
import { Acts } from './Acts';
import { LookChoices } from './LookChoices';
import { NameEditor } from './NameEditor';
import { NewCue } from './NewCue';
import { Choice, Editor, Opens, TellingSentence } from './Opens';
import { TimeEditor } from './TimeEditor';
import { Typed } from './Typed';

const FIELDS: readonly (readonly [CueField, string])[] = [
  ['look', 'a look'],
  ['fade', 'a fade'],
  ['chases', 'chases'],
  ['tempo', 'a tempo'],
  ['follow', 'the next by itself'],
  ['note', 'a note'],
];

/** A cue that is open: number, name, what it changes, its note, and what else can be done with it. */
export function CueMaking(props: { id: number; cue: CueView; index: number }) {
  const key = (of: string) => `cue ${props.id} ${of}`;
  const set = (of: CueField, value: Value | null, answer?: (done: boolean) => void) => change({ type: 'cue_set', number: props.cue.number, field: of, value }, answer);
  const told = () => new Set([...props.cue.words.flatMap((word) => word.of ?? []), ...(props.cue.note ? ['note'] : [])]);
  const untold = () => FIELDS.filter(([of]) => !told().has(of) && (of !== 'fade' || props.cue.look));
  const chases = () => props.cue.chases ?? [];
  return (
    <>
      <p class="label">
        <Opens field={key('number')} label={`Cue ${props.cue.number}, its number`}>
          Cue {props.cue.number}
        </Opens>
        , {props.index + 1} of {idsOf('cue').length}
      </p>
      <Show when={field() === key('number')}>
        <Editor label="Number">
          <Typed key={key('number')} label="number" figures shuts most={12} value={props.cue.number} take={(to, answer) => change({ type: 'cue_number', number: props.cue.number, to }, answer)} />
          <span class="fact">It goes to where that belongs.</span>
        </Editor>
      </Show>
      <h2>
        <Opens field={key('name')} label={`Name: ${props.cue.name || 'none'}`}>
          {capital(props.cue.name || 'Give it a name')}
        </Opens>
      </h2>
      <Show when={field() === key('name')}>
        <NameEditor key={key('name')} name={props.cue.name} take={(to, answer) => set('name', to, answer)} />
      </Show>
      <p class="saying">
        <TellingSentence words={props.cue.words} key={key} can={(of) => FIELDS.some(([name]) => name === of)} />{' '}
        <Show when={props.cue.note}>
          <Opens field={key('note')}>
            <em>{capital(props.cue.note.replace(/\.$/, ''))}</em>
          </Opens>
          .
        </Show>
      </p>
      <Show when={untold().length > 0}>
        <p class="saying small soft also">
          It could also say{' '}
          <For each={untold()}>
            {([of, word], i) => (
              <>
                {i() === 0 ? '' : i() === untold().length - 1 ? ' or ' : ', '}
                <Opens field={key(of)}>{word}</Opens>
              </>
            )}
          </For>
          .
        </p>
      </Show>
      <Show when={field() === key('look')}>
        <Editor label="Look">
          <Choice on={props.cue.look === null} press={() => set('look', null)}>
            the look stays
          </Choice>
          <LookChoices chosen={(name) => props.cue.look === name} press={(name) => set('look', name)} />
        </Editor>
      </Show>
      <Show when={field() === key('chases')}>
        <Editor label="Chases from now on">
          <Choice on={props.cue.chases === null} press={() => set('chases', null)}>
            as they are
          </Choice>
          <Choice on={props.cue.chases !== null && chases().length === 0} press={() => set('chases', [])}>
            none
          </Choice>
          <For each={scene()?.chases}>
            {(chase) => (
              <Choice on={chases().includes(chase.name)} press={() => set('chases', chases().includes(chase.name) ? chases().filter((name) => name !== chase.name) : [...chases(), chase.name])}>
                {chase.name}
              </Choice>
            )}
          </For>
        </Editor>
      </Show>
      <Show when={field() === key('fade')}>
        <TimeEditor label="Fade" key={key('fade')} value={props.cue.fade} none="at once" usual={['1 s', '3 s', '6 s', '10 s', '20 s']} take={(value, answer) => set('fade', value, answer)} />
      </Show>
      <Show when={field() === key('follow')}>
        <TimeEditor label="The next follows by itself" key={key('follow')} value={props.cue.follow} none="only with Go" usual={['5 s', '30 s', '90 s', '5 min']} take={(value, answer) => set('follow', value, answer)} />
      </Show>
      <Show when={field() === key('tempo')}>
        <Editor label="Tempo">
          <Choice on={props.cue.tempo === null} press={() => set('tempo', null)}>
            as it is
          </Choice>
          <Typed key={key('tempo')} label="or" after="beats a minute" figures shuts most={6} value={String(props.cue.tempo ?? '')} take={(text, answer) => set('tempo', Number.isFinite(Number(text)) ? Number(text) : text, answer)} />
        </Editor>
      </Show>
      <Show when={field() === key('note')}>
        <Editor label="Note" class="name-editor">
          <Typed key={key('note')} label="note for you" silent wide first shuts empty most={200} value={props.cue.note} placeholder="when the band puts down" take={(text, answer) => set('note', text || null, answer)} />
        </Editor>
      </Show>
      <Acts kind="cue" id={props.id} remove={() => change({ type: 'cue_remove', number: props.cue.number })}>
        <button type="button" class="handle act" aria-disabled={!up() || now.cue === props.index} onClick={() => now.cue !== props.index && takeCue(props.index)}>
          {now.cue === props.index ? 'On now' : 'Take it'}
        </button>
        <button type="button" class="handle act" classList={{ chosen: field() === key('after') }} data-opens={key('after')} aria-expanded={field() === key('after')} onClick={(event) => toggleField(key('after'), event.detail === 0)}>
          Add one after it
        </button>
      </Acts>
      <Show when={field() === key('after')}>
        <NewCue after={props.cue.number} />
      </Show>
    </>
  );
}
