import { master, setMaster } from '../act';
import { percent } from '../words';
import { Line } from './Line';

/** The level over the whole rig. */
export function Master() {
  return (
    <Line label="master" value={master()} said={percent(master())} onInput={setMaster}>
      <span class="figure">{percent(master())}</span> <span class="fact">master<span class="master-drag">, drag</span></span>
    </Line>
  );
}
