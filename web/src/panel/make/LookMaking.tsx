import { createMemo, For, Show } from 'solid-js';
import { follow, freeName, NOBODY, type Known } from '../../follow';
import { renamed } from '../../controller';
import { change, field, idsOf, openWhenCome, placeOf, toggleField } from '../../making';
import { putOn } from '../../act';
import { now, scene, up } from '../../state';
import type { LookView, PartView, Word } from '../../wire.gen';
import { capital } from '../../words';
import { ColourRule } from '../ColourRule';
import { Acts } from './Acts';
import { NameEditor } from './NameEditor';
import { Opens, TellingSentence } from './Opens';
import { canOpen, PartEditor, type OpenPart } from './PartEditor';
import { TimeEditor } from './TimeEditor';
import { WhoEditor } from './WhoEditor';

const FADES = ['1 s', '2 s', '4 s', '8 s'];

/** A look that is open: its name, its sentences with every word an editor, and what else can be done with it. */
export function LookMaking(props: { id: number; look: LookView }) {
  const key = (of: string) => `look ${props.id} ${of}`;
  const parts = () => props.look.parts;
  // A sentence stays the same when another one is moved or taken away.
  const known = createMemo<Known>((before) => follow(before, parts().map((part) => JSON.stringify(part))), NOBODY);
  const on = () => now.look === props.look.name;
  return (
    <article class="item making" classList={{ on: on() }} data-item={`look ${props.id}`}>
      <ColourRule colours={props.look.colours} />
      <p class="label">
        Look {placeOf('look', props.id) + 1} of {idsOf('look').length}
        <Show when={props.look.used}>, {props.look.used}</Show>
      </p>
      <h2 class="subtitle">
        <Opens field={key('name')} label={`Name: ${props.look.name}`}>
          {capital(props.look.name)}
        </Opens>
      </h2>
      <Show when={field() === key('name')}>
        <NameEditor key={key('name')} name={props.look.name} take={(to, answer) => change({ type: 'look_rename', name: props.look.name, to }, renamed('look', props.look.name, to, answer))} />
      </Show>
      <Show when={parts().length === 0}>
        <p class="saying small soft">Dark: nobody shines in it yet.</p>
      </Show>
      <For each={known().ids}>{(id) => <PartRow look={props.look} id={id} number={known().ids.indexOf(id) + 1} key={(of) => key(`${id} ${of}`)} />}</For>
      <div class="acts">
        <button type="button" class="handle act" data-opens={key('add')} aria-expanded={field() === key('add')} onClick={(event) => toggleField(key('add'), event.detail === 0)}>
          {parts().length === 0 ? 'Say who shines' : 'Add a sentence'}
        </button>
      </div>
      <Show when={field() === key('add')}>
        <WhoEditor
          label="Who shines in the new sentence"
          who={null}
          lights={[]}
          take={(who) => {
            toggleField(key('add'));
            change({ type: 'part_add', look: props.look.name, who, values: {}, at: null });
          }}
        />
      </Show>
      <p class="saying small">
        Put on by hand it comes{' '}
        <Opens field={key('fade')}>{props.look.fade ? `over ${props.look.fade}` : 'at once'}</Opens>.
      </p>
      <Show when={field() === key('fade')}>
        <TimeEditor
          label="Fade"
          key={key('fade')}
          value={props.look.fade}
          none="at once"
          usual={FADES}
          take={(fade, answer) => change({ type: 'look_fade', name: props.look.name, fade }, answer)}
        />
      </Show>
      <button type="button" class="key" aria-disabled={!up() || on()} onClick={() => !on() && putOn(props.look.name)}>
        {on() ? 'On now' : 'Put it on'}
      </button>
      <Acts
        kind="look"
        id={props.id}
        copy={() => {
          const to = freeName(props.look.name, scene()?.looks.map((look) => look.name) ?? []);
          change({ type: 'look_duplicate', name: props.look.name, to }, (done) => done && openWhenCome('look', to));
        }}
        remove={() => change({ type: 'look_remove', name: props.look.name })}
      />
    </article>
  );
}

function PartRow(props: { look: LookView; id: number; number: number; key: (of: string) => string }) {
  const part = createMemo<PartView | undefined>((before) => props.look.parts[props.number - 1] ?? before);
  const words = (): readonly Word[] => props.look.words[props.number - 1] ?? [];
  const told = createMemo(() => new Set(words().flatMap((word) => word.of ?? [])));
  const opened = () => {
    const start = props.key('');
    const now = field();
    return now?.startsWith(start) ? now.slice(start.length) : undefined;
  };
  const open: OpenPart = {
    get look() {
      return props.look.name;
    },
    get number() {
      return props.number;
    },
    get count() {
      return props.look.parts.length;
    },
    get part() {
      return part()!;
    },
    key: (of) => props.key(of),
  };
  return (
    <>
      <p class="saying part">
        <TellingSentence words={words()} key={props.key} can={canOpen} />{' '}
        <span class="more-word">
          <Opens field={props.key('more')} label={`More for sentence ${props.number}`}>
            more
          </Opens>
        </span>
      </p>
      <Show when={opened()} keyed>
        {(name) => <PartEditor open={open} field={name} told={told()} />}
      </Show>
    </>
  );
}
