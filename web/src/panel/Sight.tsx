import { Match, Show, Switch } from 'solid-js';
import { panel, sightUnit } from '../sight';
import { up } from '../state';
import { SightAim } from './SightAim';
import { SightChoose } from './SightChoose';
import { SightList } from './SightList';
import { SightSigns } from './SightSigns';
import { SightTime } from './SightTime';

/** Sighting in: the heads, or the open one at what is done with it now. */
export function Sight() {
  return (
    <Show when={sightUnit()?.sighting && sightUnit()} fallback={<SightList />}>
      {(unit) => (
        <Switch fallback={<SightChoose unit={unit()} />}>
          <Match when={panel() === 'aim'}>
            <SightAim unit={unit()} />
          </Match>
          <Match when={panel() === 'signs'}>
            <SightSigns unit={unit()} />
          </Match>
          <Match when={panel() === 'time'}>
            <SightTime unit={unit()} />
          </Match>
        </Switch>
      )}
    </Show>
  );
}

/** The great key at the foot of a panel, where the thumb is, and a lesser one beside it. */
export function Great(props: { words: string; fact?: string; large?: boolean; press: () => void; beside?: { words: string; press: () => void } }) {
  return (
    <div class="go-row sight-great">
      <div class="go-block">
        <button type="button" class="go" classList={{ large: props.large }} aria-disabled={!up()} onClick={() => props.press()}>
          {props.words}
        </button>
        <Show when={props.fact}>
          <span class="fact great-fact">{props.fact}</span>
        </Show>
      </div>
      <Show when={props.beside}>
        {(beside) => (
          <button type="button" class="back" onClick={() => beside().press()}>
            {beside().words}
          </button>
        )}
      </Show>
    </div>
  );
}
