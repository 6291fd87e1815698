import { Match, Show, Switch } from 'solid-js';
import { charting } from '../../charts';
import { unitOf } from '../../state';
import { Channels } from './Channels';
import { Chart } from './Chart';
import { Finder } from './Finder';

/** What stands in the place of the rig: a chart, the channels of a light, or the channel finder. */
export function Charting() {
  const unit = () => {
    const it = charting();
    return it && it.view !== 'chart' ? unitOf(it.unit) : undefined;
  };
  return (
    <Switch>
      <Match when={charting()?.view === 'chart'}>
        <Chart />
      </Match>
      <Match when={charting()?.view === 'channels'}>
        <Show when={unit()}>{(unit) => <Channels unit={unit()} />}</Show>
      </Match>
      <Match when={charting()?.view === 'finder'}>
        <Show when={unit()}>{(unit) => <Finder unit={unit()} />}</Show>
      </Match>
    </Switch>
  );
}
