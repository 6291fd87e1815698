import { For, Show } from 'solid-js';
import { runChase, running } from '../act';
import { begin, canMake, chaseAt, field, idsOf, lasting, open } from '../making';
import { scene, setStage, up } from '../state';
import { capital, withoutName } from '../words';
import { ChasePace } from './ChasePace';
import { ChaseStrokes } from './ChaseStrokes';
import { FormWord } from './Looks';
import { Change, dragging } from './make/Acts';
import { ChaseMaking } from './make/ChaseMaking';
import { NewChase } from './make/NewChase';
import { Sentence } from './Sentence';
import { Tempo } from './Tempo';

/** The tempo, and every chase with its strokes; start and stop, and one at a time open for making. */
export function Chases() {
  const some = () => (scene()?.chases.length ?? 0) > 0;
  return (
    <>
      <Tempo />
      <Show when={some()} fallback={<Empty />}>
        <Show when={canMake()}>
          <div class="acts making-row">
            <FormWord form="new chase">New chase</FormWord>
          </div>
        </Show>
      </Show>
      <Show when={field() === 'new chase'}>
        <NewChase />
      </Show>
      <For each={idsOf('chase')}>{(id) => <ChaseItem id={id} />}</For>
    </>
  );
}

function Empty() {
  const looks = () => scene()?.looks.length ?? 0;
  return (
    <div class="first">
      <p class="saying">
        No chases yet. A chase goes from look to look, in time.
        {looks() < 2 ? ' Two looks come first.' : ''}
      </p>
      <Show when={canMake() && field() !== 'new chase'}>
        <Show
          when={looks() >= 2}
          fallback={
            <button type="button" class="key great" onClick={() => (looks() === 0 ? begin('new look') : setStage('looks'))}>
              {looks() === 0 ? 'Make the first look' : 'To the looks'}
            </button>
          }
        >
          <button type="button" class="key great" onClick={() => begin('new chase')}>
            Make the first chase
          </button>
        </Show>
      </Show>
    </div>
  );
}

function ChaseItem(props: { id: number }) {
  const chase = lasting(() => chaseAt(props.id));
  const on = () => running(chase().name);
  return (
    <Show when={canMake() && open.chase === props.id} fallback={
      <article class="item" classList={{ on: on(), made: canMake() }} data-item={`chase ${props.id}`} {...dragging('chase', props.id, canMake)}>
        <div class="item-head">
          <h2 class="subtitle">
            {capital(chase().name)}
            <Show when={on()}>
              <span class="fact bright"> running</span>
            </Show>
          </h2>
          <Show when={canMake()}>
            <Change kind="chase" id={props.id} name={chase().name} />
          </Show>
        </div>
        <p class="saying small">
          <Sentence words={withoutName(chase().words, chase().name)} />
        </p>
        <ChaseStrokes chase={chase()} />
        <div class="acts">
          <StartKey name={chase().name} />
          <ChasePace name={chase().name} />
        </div>
      </article>
    }>
      <ChaseMaking id={props.id} chase={chase()} start={<><StartKey name={chase().name} /><ChasePace name={chase().name} /></>} />
    </Show>
  );
}

function StartKey(props: { name: string }) {
  return (
    <button
      type="button"
      class="key"
      aria-label={`${running(props.name) ? 'Stop' : 'Start'} ${props.name}`}
      aria-disabled={!up()}
      onClick={() => runChase(props.name, !running(props.name))}
    >
      {running(props.name) ? 'Stop' : 'Start'}
    </button>
  );
}
