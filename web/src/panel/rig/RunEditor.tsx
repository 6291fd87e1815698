import { For, Show } from 'solid-js';
import type { Change, LightField, Value } from '../../change.gen';
import { change } from '../../making';
import { scene } from '../../state';
import type { UnitView } from '../../wire.gen';
import { list } from '../../words';
import { Choice, Editor, Row } from '../make/Opens';

type Way = 'driven' | 'linked' | 'on its own';

/** How a light runs. */
export const wayOf = (unit: UnitView): Way => (unit.leader !== null ? 'linked' : unit.run === 'on its own' ? 'on its own' : 'driven');

const leads = (unit: UnitView) => unit.leader === unit.number;
const followersOf = (number: number) => scene()?.units.filter((unit) => unit.leader === number && unit.number !== number).map((unit) => unit.number) ?? [];

/** 'driven from the controller', 'linked behind light 3', 'leading 4 and 5 with “slow fade”', 'on its own with “slow fade”'. */
export function runWords(unit: UnitView): string {
  const programme = unit.programme === null ? ', no programme chosen' : ` with “${unit.programme}”`;
  switch (wayOf(unit)) {
    case 'driven':
      return unit.run === 'driven' ? 'driven from the controller' : unit.run;
    case 'on its own':
      return `on its own${programme}`;
    case 'linked': {
      if (!leads(unit)) return `linked behind light ${unit.leader}`;
      const behind = followersOf(unit.number);
      return `${behind.length > 0 ? `leading ${list(behind.map(String))}` : 'leading nobody yet'}${programme}`;
    }
  }
}

/** The three ways of running, and what each needs: a leader, or a programme. */
export function RunEditor(props: { unit: UnitView }) {
  const lights = [props.unit.number];
  const set = (field: LightField, value: Value | null): Change => ({ type: 'light_set', lights, field, value });
  const way = () => wayOf(props.unit);
  /** Other lights of the kind that lead, or could. */
  const leaders = () =>
    scene()?.units.filter((unit) => unit.number !== props.unit.number && unit.kind === props.unit.kind && (leads(unit) || unit.leader === null)) ?? [];
  const run = (to: Way) => {
    if (to === way()) return;
    const changes = [set('run', to === 'driven' ? null : to)];
    if (to !== 'driven') changes.push(set('programme', props.unit.programme ?? props.unit.programmes[0] ?? null));
    change({ type: 'many', changes });
  };
  const follow = (leader: number) => {
    if (leader === props.unit.leader) return;
    if (leader === props.unit.number) {
      return change({ type: 'many', changes: [set('leader', leader), set('programme', props.unit.programmes[0] ?? null)] });
    }
    const changes = [set('leader', leader), set('programme', null)];
    const its = scene()?.units.find((unit) => unit.number === leader);
    // Whoever is followed leads.
    if (its && !leads(its)) {
      const its_own = [its.number];
      changes.unshift(
        { type: 'light_set', lights: its_own, field: 'run', value: 'linked' },
        { type: 'light_set', lights: its_own, field: 'leader', value: leader },
        { type: 'light_set', lights: its_own, field: 'programme', value: its.programme ?? its.programmes[0] ?? null },
      );
    }
    change({ type: 'many', changes });
  };
  return (
    <Editor label="Way of running" class="run-editor">
      <Row word="runs">
        <Choice on={way() === 'driven'} press={() => run('driven')}>
          driven from the controller
        </Choice>
        <Choice on={way() === 'linked'} press={() => run('linked')}>
          linked
        </Choice>
        <Choice on={way() === 'on its own'} press={() => run('on its own')}>
          on its own
        </Choice>
      </Row>
      <Show when={way() === 'linked'}>
        <Row word="does what is done by">
          <Choice on={leads(props.unit)} press={() => follow(props.unit.number)}>
            itself: it leads
          </Choice>
          <For each={leaders()}>
            {(unit) => (
              <Choice on={props.unit.leader === unit.number} press={() => follow(unit.number)} label={`light ${unit.number}`}>
                light <span class="number">{unit.number}</span>
              </Choice>
            )}
          </For>
        </Row>
      </Show>
      <Show when={way() === 'on its own' || leads(props.unit)}>
        <Row word="its built-in programme">
          <For each={props.unit.programmes} fallback={<span class="fact">None is known of this kind: its manual says what it has.</span>}>
            {(name) => (
              <Choice on={props.unit.programme === name} press={() => name !== props.unit.programme && change(set('programme', name))}>
                {name}
              </Choice>
            )}
          </For>
        </Row>
      </Show>
      <span class="fact">
        {way() === 'driven'
          ? 'Looks, chases and cues reach driven lights alone.'
          : 'Outside looks, chases, cues, blackout and the flash limit: only its own menu, or its plug, stops it. Select the same at the light.'}
      </span>
    </Editor>
  );
}
