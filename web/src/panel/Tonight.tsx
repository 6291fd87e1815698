import { createMemo, For, Show } from 'solid-js';
import { putOn, runChase, running } from '../act';
import { begin, canMake, change, choosing, setChoosing } from '../making';
import { lookOf, now, scene, up } from '../state';
import { capital } from '../words';
import { ColourRule } from './ColourRule';
import { Go } from './Go';
import { GroupMasters, groupsFold, GroupsWord } from './GroupMasters';
import { Master } from './Master';
import { MusicWord } from './Music';
import { NextUp } from './NextUp';
import { NowOn } from './NowOn';
import { Tap } from './Tap';

/** The view for running: now, the words of this night, master and tempo, and Go with what it takes inside it. */
export function Tonight() {
  const all = createMemo<Pad[]>(() => [
    ...(scene()?.looks.map((look): Pad => `look ${look.name}`) ?? []),
    ...(scene()?.chases.map((chase): Pad => `chase ${chase.name}`) ?? []),
  ]);
  const pads = createMemo<Pad[]>(() => {
    const chosen = scene()?.tonight;
    return chosen ? chosen.flatMap((name) => all().filter((pad) => nameOf(pad) === name)) : all();
  });
  return (
    <div class="tonight" classList={{ choosing: choosing() }}>
      <NowOn brief />
      <Show when={all().length === 0}>
        <div class="tonight-empty first">
          <p class="saying small soft">
            {canMake() ? 'Nothing to put on yet. A look comes first: who shines, where, in what colour and how bright.' : 'Nothing to look at yet. Pick a light and say where it should shine.'}
          </p>
          <Show when={canMake()}>
            <button type="button" class="key great" onClick={() => begin('new look')}>
              Make the first look
            </button>
          </Show>
        </div>
      </Show>
      <Show when={!choosing()} fallback={<ChoosePads all={all()} chosen={pads()} />}>
        <div class="words" role="group" aria-label="Looks and chases">
          <For each={pads()}>{(pad) => (isLook(pad) ? <LookKey name={nameOf(pad)} /> : <ChaseKey name={nameOf(pad)} />)}</For>
        </div>
      </Show>
      <Show when={!choosing()}>
        <GroupMasters />
        <div class="levels" classList={{ three: groupsFold() }}>
          <Master />
          <Tap />
          <Show when={groupsFold()}>
            <GroupsWord />
          </Show>
        </div>
        <MusicWord />
      </Show>
      <Show when={(scene()?.cues.length ?? 0) > 0}>
        <Show when={!choosing()} fallback={<Go />}>
          <Go describedBy="tonight-next">
            <NextUp id="tonight-next" numbered />
          </Go>
        </Show>
      </Show>
    </div>
  );
}

/** A look or a chase that can stand on tonight's pads: a plain text, so that a pad stays itself when others change. */
type Pad = `look ${string}` | `chase ${string}`;
const isLook = (pad: Pad) => pad.startsWith('look ');
const nameOf = (pad: Pad) => pad.slice(pad.indexOf(' ') + 1);
const chaseOf = (name: string) => scene()?.chases.find((chase) => chase.name === name);
const coloursOf = (pad: Pad) => (isLook(pad) ? lookOf(nameOf(pad)) : chaseOf(nameOf(pad)))?.colours ?? [];

function LookKey(props: { name: string }) {
  return (
    <WordKey
      name={props.name}
      colours={lookOf(props.name)?.colours ?? []}
      on={now.look === props.name}
      state="on now"
      press={() => putOn(props.name)}
    />
  );
}

function ChaseKey(props: { name: string }) {
  const steps = () => chaseOf(props.name)?.steps.length ?? 0;
  return (
    <WordKey
      name={props.name}
      colours={chaseOf(props.name)?.colours ?? []}
      on={running(props.name)}
      state={`running, ${step(props.name)} of ${steps()}`}
      press={() => runChase(props.name, !running(props.name))}
    />
  );
}

/** What stands on the pads: chosen ones in their order, the others after them. Nothing here lights anything. */
function ChoosePads(props: { all: readonly Pad[]; chosen: readonly Pad[] }) {
  const names = () => props.chosen.map(nameOf);
  const place = (pad: Pad) => names().indexOf(nameOf(pad)) + 1;
  const says = (pad: Pad) => (place(pad) > 0 ? `pad ${place(pad)}` : 'not tonight');
  const toggle = (pad: Pad) => {
    const next = place(pad) > 0 ? names().filter((name) => name !== nameOf(pad)) : [...names(), nameOf(pad)];
    change({ type: 'show_set', field: 'tonight', value: next });
  };
  return (
    <section class="choose" aria-label="Choose pads">
      <div class="choose-head">
        <p class="fact">A tap puts a word on the pads or takes it away; they stand in the order of the taps. Nothing is lit by it.</p>
        <div class="acts">
          <button type="button" class="handle act" aria-disabled={!up()} onClick={() => change({ type: 'show_set', field: 'tonight', value: null })}>
            All of them
          </button>
          <button type="button" class="handle act" aria-disabled={!up()} onClick={() => change({ type: 'show_set', field: 'tonight', value: [] })}>
            None
          </button>
          <button type="button" class="key" onClick={() => setChoosing(false)}>
            Done
          </button>
        </div>
      </div>
      <div class="words" role="group" aria-label="Words for the pads">
        <For each={props.all}>
          {(pad) => (
            <button type="button" class="word choosable" aria-label={`${capital(nameOf(pad))}, ${says(pad)}`} aria-pressed={place(pad) > 0} aria-disabled={!up()} onClick={() => toggle(pad)}>
              <ColourRule colours={coloursOf(pad)} />
              <span class="word-name">{capital(nameOf(pad))}</span>{' '}
              <span class="fact">{says(pad)}</span>
            </button>
          )}
        </For>
      </div>
    </section>
  );
}

function step(chase: string): number {
  return (now.chases.find((on) => on.name === chase)?.step ?? 0) + 1;
}

function WordKey(props: { name: string; colours: readonly string[]; on: boolean; state: string; press: () => void }) {
  return (
    <button
      type="button"
      class="word"
      classList={{ on: props.on }}
      aria-label={capital(props.name)}
      aria-pressed={props.on}
      aria-disabled={!up()}
      onClick={() => props.press()}
    >
      <ColourRule colours={props.colours} />
      <span class="word-name">{capital(props.name)}</span>
      <Show when={props.on}>
        <span class="fact" aria-hidden="true">
          {props.state}
        </span>
      </Show>
    </button>
  );
}
