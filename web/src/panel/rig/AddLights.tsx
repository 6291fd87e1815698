import { createSignal, For, Show } from 'solid-js';
import type { Change } from '../../change.gen';
import { change, closeField, draft, field, setDraft, setRefusal } from '../../making';
import { addresses, addressOf, freeFor, kinds, type Block } from '../../rigging';
import { pick, scene, up } from '../../state';
import { capital, the } from '../../words';
import { Choice, Editor, Row } from '../make/Opens';
import { Typed } from '../make/Typed';
import { KindRows } from '../KindRows';
import { AddressMap } from './AddressMap';

/** The most that are added in one go here: so many addresses are told ahead. */
const MOST = 24;
const USUAL = [1, 2, 4, 6, 8];

const [kindName, setKind] = createSignal<string>();
const [modeName, setMode] = createSignal<string>();
const [many, setMany] = createSignal(2);
const [placeName, setPlace] = createSignal<string>();
const [universe, setUniverse] = createSignal<number | null>(null);
const [group, setGroup] = createSignal<string | null>(null);

/** Has a kind chosen when the form opens. */
export const preselect = (kind: string) => (setKind(kind), setMode(undefined));

/** What is chosen, as far as the show has it. */
function chosen() {
  const it = scene();
  const kind = it?.profiles.find((one) => one.name === kindName()) ?? it?.profiles[0];
  const mode = kind?.modes.find((one) => one.name === modeName()) ?? kind?.modes[0];
  const place = it?.room.places.find((one) => one.name === placeName()) ?? it?.room.places[0];
  const within = universe() !== null && it?.free.some((view) => view.universe === universe()) ? universe() : null;
  const free = mode ? freeFor(it?.free ?? [], mode.channels, within).slice(0, many()) : [];
  return { it, kind, mode, place, within, free };
}

/** Lights more: which kind, how many, where; with the addresses that they will have, before they have them. */
export function AddLights() {
  const universes = () => [...new Set(scene()?.free.flatMap((view) => view.universe ?? []))];
  const newGroup = () => draft('add lights group')?.trim() ?? '';
  const room = () => chosen().free.length === many();
  const says = () => {
    const { kind, mode, place, free } = chosen();
    if (!kind || !mode) return 'No kind of light is known.';
    if (!place) return 'The room has no bar, stand or floor to put lights on yet.';
    if (mode.channels === 0) return 'This mode has no channels: choose another.';
    if (!room()) return `There is no room for ${kinds(many(), kind.name)} there: choose fewer, a mode with fewer channels, or another universe.`;
    return `Adds ${kinds(many(), kind.name)}, ${mode.channels === 1 ? 'one channel' : `${mode.channels} channels`}${many() > 1 ? ' each' : ''}, on ${the(place.name)}: ${addresses(free)}.`;
  };
  const can = () => up() && room() && chosen().place !== undefined && (chosen().mode?.channels ?? 0) > 0;
  const add = () => {
    const { it, kind, mode, place, within } = chosen();
    if (!can() || !it || !kind || !mode || !place) return;
    const first = (it.units.at(-1)?.number ?? 0) + 1;
    const numbers = Array.from({ length: many() }, (_, i) => first + i);
    const changes: Change[] = [{ type: 'light_add', profile: kind.name, mode: mode.name, place: place.name, count: many(), universe: within }];
    const old = it.groups.find((one) => one.name === (newGroup() || group()));
    if (old) changes.push({ type: 'group_set', name: old.name, lights: [...old.units, ...numbers] });
    else if (newGroup()) changes.push({ type: 'group_add', name: newGroup(), lights: numbers });
    change(changes.length === 1 ? changes[0]! : { type: 'many', changes }, (done) => {
      if (!done) return;
      setDraft('add lights group', undefined);
      setGroup(null);
      closeField();
      pick(first);
    });
  };
  const blocks = (): Block[] =>
    chosen().free.map((address) => {
      const from = addressOf(address)?.slot ?? 1;
      return { from, to: from + (chosen().mode?.channels ?? 1) - 1, label: 'new', kind: 'new' };
    });
  const maps = () => [...new Set(chosen().free.flatMap((address) => addressOf(address)?.universe ?? []))];
  const inUniverse = (n: number) => blocks().filter((_, i) => addressOf(chosen().free[i] ?? '')?.universe === n);
  return (
    <Editor label="Add lights" class="add-lights">
      <KindRows chosen={chosen().kind?.name} press={setKind} />
      <Row word="mode, as in its own menu">
        <For each={chosen().kind?.modes}>
          {(mode) => (
            <Choice on={chosen().mode?.name === mode.name} press={() => setMode(mode.name)}>
              {modeWords(mode)}
            </Choice>
          )}
        </For>
      </Row>
      <Row word="how many">
        <For each={USUAL}>
          {(n) => (
            <Choice on={many() === n} press={() => setMany(n)}>
              <span class="number">{n}</span>
            </Choice>
          )}
        </For>
        <Typed
          key="add lights many"
          label="or"
          figures
          most={2}
          value={String(many())}
          take={(text, answer) => {
            const n = Number(text);
            const good = Number.isInteger(n) && n >= 1 && n <= MOST;
            if (good) setMany(n);
            else setRefusal({ field: field(), says: `From 1 to ${MOST} at a time, as a number.` });
            answer(good);
          }}
        />
      </Row>
      <Row word="on">
        <For each={scene()?.room.places} fallback={<span class="fact">No hanging place yet: they are made in the room.</span>}>
          {(place) => (
            <Choice on={chosen().place?.name === place.name} press={() => setPlace(place.name)}>
              {place.name} <span class="fact">{place.load}</span>
            </Choice>
          )}
        </For>
      </Row>
      <Show when={universes().length > 1}>
        <Row word="universe">
          <Choice on={chosen().within === null} press={() => setUniverse(null)}>
            where there is room first
          </Choice>
          <For each={universes()}>
            {(n) => (
              <Choice on={chosen().within === n} press={() => setUniverse(n)} label={`universe ${n}`}>
                <span class="number">{n}</span>
              </Choice>
            )}
          </For>
        </Row>
      </Show>
      <Row word="in a group">
        <Choice on={group() === null && newGroup() === ''} press={() => (setGroup(null), setDraft('add lights group', undefined))}>
          none
        </Choice>
        <For each={scene()?.groups}>
          {(one) => (
            <Choice on={group() === one.name && newGroup() === ''} press={() => (setGroup(one.name), setDraft('add lights group', undefined))}>
              {one.name}
            </Choice>
          )}
        </For>
        <Typed key="add lights group" label="or a new one, called" value="" enter take={() => add()} />
      </Row>
      <p class="saying small add-says" aria-live="polite">
        {says()}
      </p>
      <For each={maps()}>{(n) => <AddressMap universe={n} more={inUniverse(n)} />}</For>
      <p class="fact">
        Look at the plan for weight and power before anything is hung. What a bar carries, its owner or maker says; every light
        overhead has a second fixing of its own.
      </p>
      <button type="button" class="key" aria-disabled={!can()} onClick={add}>
        Add {many() === 1 ? 'it' : `all ${many()}`}
      </button>
    </Editor>
  );
}

/** '16 channels', '"basic", 9 channels'. */
export function modeWords(mode: { name: string; channels: number }): string {
  if (mode.name.includes(String(mode.channels))) return mode.name;
  return `${capital(mode.name)}, ${mode.channels === 1 ? 'one channel' : `${mode.channels} channels`}`;
}

/** The next free address of so many channels, in the universe of an address. */
export function nextFree(channels: number, near: string | null): string | undefined {
  const universe = near === null ? null : (addressOf(near)?.universe ?? null);
  const it = scene();
  return freeFor(it?.free ?? [], channels, universe)[0] ?? freeFor(it?.free ?? [], channels, null)[0];
}
