import { For, Show } from 'solid-js';
import { groupMaster, lowered, setGroupMaster } from '../act';
import { folded, low } from '../fold';
import { groupsOpen, scene, setGroupsOpen } from '../state';
import { percent } from '../words';
import { Line } from './Line';

/** So many stand open, in one row; fewer on a phone and on a low screen, so that the words keep their room. */
const OPEN = 4;
const OPEN_SMALL = 2;

const groups = () => scene()?.groups ?? [];
/** More groups than there is room for: they are behind one word. */
export const groupsFold = () => groups().length > (folded() || low() ? OPEN_SMALL : OPEN);

/** A level over each group of lights. */
export function GroupMasters() {
  return (
    <Show when={groups().length > 0 && (!groupsFold() || groupsOpen())}>
      <div class="group-masters" classList={{ row: !groupsFold() }} id="group-masters" role="group" aria-label="Group masters">
        <For each={groups().map((group) => group.name)}>{(name) => <GroupMaster name={name} />}</For>
      </div>
    </Show>
  );
}

/** The level over one group: a drag moves it, a double press or End is 100 %. */
function GroupMaster(props: { name: string }) {
  const level = () => groupMaster(props.name);
  return (
    <Line
      label={`${props.name}, group master`}
      value={level()}
      said={percent(level())}
      onInput={(value) => setGroupMaster(props.name, value)}
      onTwice={() => setGroupMaster(props.name, 1)}
    >
      <span class="figure">{percent(level())}</span> <span class="fact">{props.name}</span>
    </Line>
  );
}

/** The word that they are behind. */
export function GroupsWord() {
  const below = () => lowered().length;
  const says = () => (below() > 0 ? `${below()} below ${percent(1)}` : `of lights, ${groups().length}`);
  return (
    <button
      type="button"
      class="groups-word"
      aria-expanded={groupsOpen()}
      aria-controls={groupsOpen() ? 'group-masters' : undefined}
      onClick={() => setGroupsOpen(!groupsOpen())}
    >
      <span class="word-name">Groups</span> <span class="fact">{says()}</span>
    </button>
  );
}
