import { For, Match, Switch } from 'solid-js';
import { aim, askLevel, askedLevel, markOf, pickedMovers } from '../act';
import { lightOf, openWord, picked, scene } from '../state';
import type { UnitView } from '../wire.gen';
import { percent, the } from '../words';
import { ColourField } from './ColourField';
import { Line } from './Line';

/** What stands under the slip's sentence while one of its words is open. */
export function SlipEditor(props: { unit: UnitView }) {
  return (
    <Switch>
      <Match when={openWord() === 'colour'}>
        <ColourField unit={props.unit} />
      </Match>
      <Match when={openWord() === 'level'}>
        <LevelEditor unit={props.unit} />
      </Match>
      <Match when={openWord() === 'where'}>
        <WhereEditor unit={props.unit} />
      </Match>
    </Switch>
  );
}

function LevelEditor(props: { unit: UnitView }) {
  const value = () => askedLevel(props.unit.number) ?? lightOf(props.unit.number)?.heads[0]?.level ?? 0;
  const typed = (event: Event & { currentTarget: HTMLInputElement }) => {
    const percentage = event.currentTarget.valueAsNumber;
    if (Number.isFinite(percentage)) askLevel(picked(), Math.min(1, Math.max(0, percentage / 100)));
  };
  return (
    <div class="editor level-editor" role="group" aria-label="Level">
      <Line label="level" value={value()} said={percent(value())} onInput={(level) => askLevel(picked(), level)} />
      <label class="typed">
        <input type="number" min="0" max="100" step="1" value={Math.round(value() * 100)} onChange={typed} />
        <span class="fact">%</span>
      </label>
    </div>
  );
}

function WhereEditor(props: { unit: UnitView }) {
  const put = (at: readonly [number, number, number]) => {
    for (const unit of pickedMovers()) aim(unit, [...at]);
  };
  return (
    <div class="editor" role="group" aria-label="Where">
      <For each={scene()?.room.marks}>
        {(mark) => (
          <button type="button" class="choice" aria-pressed={markOf(props.unit.number) === mark.name} onClick={() => put(mark.at)}>
            {the(mark.name)}
          </button>
        )}
      </For>
      <span class="fact">or drag the spot in the room</span>
    </div>
  );
}
