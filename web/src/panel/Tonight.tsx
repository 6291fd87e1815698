import { For, Show } from 'solid-js';
import { putOn, runChase, running } from '../act';
import { now, scene, up } from '../state';
import { capital } from '../words';
import { ColourRule } from './ColourRule';
import { Go } from './Go';
import { Master } from './Master';
import { NextUp } from './NextUp';
import { NowOn } from './NowOn';
import { Tap } from './Tap';

/** The view for running: now, the words of this night, master and tempo, and Go with what it takes inside it. */
export function Tonight() {
  const looks = () => scene()?.looks ?? [];
  const chases = () => scene()?.chases ?? [];
  return (
    <div class="tonight">
      <NowOn brief />
      <Show when={looks().length + chases().length === 0}>
        <p class="saying small soft tonight-empty">Nothing to look at yet. Pick a light and say where it should shine.</p>
      </Show>
      <div class="words" role="group" aria-label="Looks and chases">
        <For each={looks()}>
          {(look) => (
            <WordKey
              name={look.name}
              colours={look.colours}
              on={now.look === look.name}
              state="on now"
              press={() => putOn(look.name)}
            />
          )}
        </For>
        <For each={chases()}>
          {(chase) => (
            <WordKey
              name={chase.name}
              colours={chase.colours}
              on={running(chase.name)}
              state={`running, ${step(chase.name)} of ${chase.steps.length}`}
              press={() => runChase(chase.name, !running(chase.name))}
            />
          )}
        </For>
      </div>
      <div class="levels">
        <Master />
        <Tap />
      </div>
      <Show when={(scene()?.cues.length ?? 0) > 0}>
        <Go describedBy="tonight-next">
          <NextUp id="tonight-next" numbered />
        </Go>
      </Show>
    </div>
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
        <span class="fact">{props.state}</span>
      </Show>
    </button>
  );
}
