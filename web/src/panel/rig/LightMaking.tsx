import { For, onCleanup, Show } from 'solid-js';
import type { Change, LightField, Value } from '../../change.gen';
import { openChartOf, openCharting, questionsOf } from '../../charts';
import { change, closeField, draft, field, setRefusal } from '../../making';
import { addressOf, addressWords, alongWords, turnWords, typedNumber, type Block } from '../../rigging';
import { openLight, summary } from '../../sight';
import { pick, scene } from '../../state';
import type { UnitView } from '../../wire.gen';
import { capital, the } from '../../words';
import { Act } from '../make/Acts';
import { Choice, Editor, Opens, Row } from '../make/Opens';
import { Typed } from '../make/Typed';
import { modeWords, nextFree } from './AddLights';
import { AddressMap } from './AddressMap';
import { Bar } from './Bar';
import { LineEditor, lineOf, stationWords } from './LineEditor';
import { RunEditor, runWords, wayOf } from './RunEditor';

type Answer = (done: boolean) => void;
type Set = (field: LightField, value: Value | null, answer?: Answer) => void;

const TURNS = [0, 90, 180, -90];

/** A light that is open: sentences with every word an editor, what to set at the light itself, and what else can be done with it. */
export function LightMaking(props: { unit: UnitView }) {
  const key = (of: string) => `light ${props.unit.number} ${of}`;
  const set: Set = (what, value, answer) => change({ type: 'light_set', lights: [props.unit.number], field: what, value }, answer);
  const place = () => scene()?.room.places.find((one) => one.name === props.unit.place);
  const own = () => props.unit.run === 'driven';
  const isOpen = (of: string) => field() === key(of);
  const start = key('');
  // A word of a light that is put down is not open any more.
  onCleanup(() => field()?.startsWith(start) && closeField());
  const close = () => {
    const head = document.querySelector<HTMLElement>(`[data-light="${props.unit.number}"]`);
    pick(null);
    head?.focus({ preventScroll: true });
  };
  return (
    <div class="light-making making">
      <p class="saying small">
        {place()?.kind === 'floor' ? 'Stands on ' : 'Hangs on '}
        <Opens field={key('place')}>{the(props.unit.place)}</Opens>,{' '}
        <Show when={(place()?.length ?? 0) > 0}>
          <Opens field={key('along')}>{alongWords(place(), props.unit.along)}</Opens>,{' '}
        </Show>
        <Opens field={key('turn')}>{turnWords(props.unit.turn)}</Opens>.
      </p>
      <Show when={isOpen('place')}>
        <PlaceEditor unit={props.unit} set={set} />
      </Show>
      <Show when={isOpen('along')}>
        <AlongEditor unit={props.unit} key={key('along')} set={set} />
      </Show>
      <Show when={isOpen('turn')}>
        <TurnEditor unit={props.unit} key={key('turn')} set={set} />
      </Show>
      <p class="saying small">
        Runs <Opens field={key('run')}>{runWords(props.unit)}</Opens>,{' '}
        <Show when={wayOf(props.unit) === 'driven'}>
          in <Opens field={key('mode')}>{modeWords({ name: props.unit.mode, channels: props.unit.footprint })}</Opens>,{' '}
        </Show>
        <Show when={own()}>
          <Opens field={key('address')}>{props.unit.address === null ? 'with no address yet' : `from address ${props.unit.address}`}</Opens>,{' '}
        </Show>
        <Opens field={key('circuit')}>{props.unit.circuit === null ? 'on no circuit yet' : `on circuit ${props.unit.circuit}`}</Opens>
        <Show when={own() && lineOf(props.unit)}>
          {(line) => (
            <>
              , <Opens field={key('line')}>{stationWords(line(), props.unit.number)}</Opens>
            </>
          )}
        </Show>
        .
      </p>
      <Show when={isOpen('run')}>
        <RunEditor unit={props.unit} />
      </Show>
      <Show when={isOpen('mode')}>
        <ModeEditor unit={props.unit} set={set} />
      </Show>
      <Show when={isOpen('address')}>
        <AddressEditor unit={props.unit} key={key('address')} set={set} />
      </Show>
      <Show when={isOpen('circuit')}>
        <CircuitEditor unit={props.unit} set={set} />
      </Show>
      <Show when={isOpen('line')}>
        <LineEditor unit={props.unit} key={key('line')} />
      </Show>
      <p class="fact">
        In its own menu: <Show when={props.unit.menu.length > 0} fallback="not known; see the light’s own manual">{props.unit.menu.join('; ')}</Show>.
        <Show when={props.unit.groups.length > 0}> In {props.unit.groups.join(', ')}.</Show>
        <Show when={props.unit.sighting}>{(sighting) => <> Sighted: {summary(sighting())}</>}</Show>
      </p>
      <div class="acts" role="group" aria-label="More for it">
        <Show when={props.unit.sighting}>
          <Act press={() => openLight(props.unit.number)}>Sight it in</Act>
        </Show>
        <Act press={() => openCharting({ view: 'channels', unit: props.unit.number })}>Its channels</Act>
        <Show when={props.unit.address !== null}>
          <Act press={() => openCharting({ view: 'finder', unit: props.unit.number })}>Try its channels</Act>
        </Show>
        <Show when={questionsOf(props.unit.kind) !== null}>
          <Act press={() => void openChartOf(props.unit.kind)}>Its chart</Act>
        </Show>
        <Act press={() => change({ type: 'light_remove', lights: [props.unit.number] })} label={`Remove light ${props.unit.number}`}>
          Remove
        </Act>
        <Act press={close}>Close</Act>
      </div>
    </div>
  );
}

function PlaceEditor(props: { unit: UnitView; set: Set }) {
  const take = (name: string, length: number) => {
    // What is nearer to the middle than an end stays where it is along it.
    const along = Math.min(length / 2, Math.max(-length / 2, props.unit.along)) + 0;
    if (along === props.unit.along) return props.set('place', name);
    const lights = [props.unit.number];
    const changes: Change[] = [
      { type: 'light_set', lights, field: 'place', value: name },
      { type: 'light_set', lights, field: 'at', value: along === 0 ? null : Math.round(along * 100) / 100 },
    ];
    change({ type: 'many', changes });
  };
  return (
    <Editor label="Place" class="place-editor">
      <Row word="on">
        <For each={scene()?.room.places}>
          {(place) => (
            <Choice on={place.name === props.unit.place} press={() => place.name !== props.unit.place && take(place.name, place.length)}>
              {place.name} <span class="fact">{place.load}</span>
            </Choice>
          )}
        </For>
      </Row>
      <span class="fact">The load is a sum, not a permission: its owner or maker says what it carries.</span>
    </Editor>
  );
}

function AlongEditor(props: { unit: UnitView; key: string; set: Set }) {
  const put = (along: number, answer?: Answer) => props.set('at', along === 0 ? null : along, answer);
  return (
    <Editor label="Where along it" class="along-editor">
      <Bar unit={props.unit} take={put} />
      <Typed
        key={props.key}
        label="from the middle"
        after="m, left with a minus"
        figures
        most={8}
        value={String(Math.round(props.unit.along * 100) / 100)}
        take={(text, answer) => typed(text, /\s*m$/, 'Metres from the middle as a number, such as 1.2 or -0.5.', put, answer)}
      />
    </Editor>
  );
}

function TurnEditor(props: { unit: UnitView; key: string; set: Set }) {
  const put = (turn: number, answer?: Answer) => props.set('turn', turn === 0 ? null : `${turn}°`, answer);
  return (
    <Editor label="Turn" class="turn-editor">
      <Row word="seen from above, against the clock">
        <For each={TURNS}>
          {(turn) => (
            <Choice on={props.unit.turn === turn} press={() => put(turn)}>
              {turn}°
            </Choice>
          )}
        </For>
        <Typed
          key={props.key}
          label="or"
          after="°"
          figures
          most={8}
          value={String(props.unit.turn)}
          take={(text, answer) => typed(text, /\s*°$/, 'Degrees as a number, such as 45 or -90.', put, answer)}
        />
      </Row>
    </Editor>
  );
}

function typed(text: string, unit: RegExp, why: string, put: (value: number, answer: Answer) => void, answer: Answer): void {
  const value = typedNumber(text, unit);
  if (value === undefined) {
    setRefusal({ field: field(), says: why });
    return answer(false);
  }
  put(value, answer);
}

function ModeEditor(props: { unit: UnitView; set: Set }) {
  return (
    <Editor label="Mode" class="mode-editor">
      <Row word="mode, as in its own menu">
        <For each={props.unit.modes}>
          {(mode) => (
            <Choice on={mode.name === props.unit.mode} press={() => mode.name !== props.unit.mode && props.set('mode', mode.name)}>
              {modeWords(mode)}
            </Choice>
          )}
        </For>
      </Row>
      <span class="fact">Its address stays where that still fits, and else moves to the first free one. Select the same mode at the light.</span>
      <Show when={addressOf(props.unit.address ?? '')}>{(at) => <AddressMap universe={at().universe} mine={props.unit.number} />}</Show>
    </Editor>
  );
}

function AddressEditor(props: { unit: UnitView; key: string; set: Set }) {
  const now = () => addressOf(props.unit.address ?? '');
  const read = (text: string) => addressOf(text, now()?.universe ?? 1);
  /** Where it would lie as it is typed. */
  const asked = () => {
    const text = draft(props.key);
    return text === undefined ? undefined : read(text);
  };
  const universe = () => asked()?.universe ?? now()?.universe ?? 1;
  const more = (): Block[] => {
    const at = asked();
    return at ? [{ from: at.slot, to: at.slot + props.unit.footprint - 1, label: String(props.unit.number), kind: 'new' }] : [];
  };
  const take = (text: string, answer?: Answer) => {
    const at = read(text);
    // What is no address is refused by the machine, with its own words.
    props.set('address', at ? addressWords(at.universe, at.slot) : text, answer);
  };
  const next = () => nextFree(props.unit.footprint, props.unit.address);
  return (
    <Editor label="Address" class="address-editor">
      <Typed key={props.key} label="from" figures most={9} value={props.unit.address ?? ''} take={take} />
      <Show when={next()}>
        {(address) => (
          <Choice on={false} press={() => take(address())}>
            next free: {address()}
          </Choice>
        )}
      </Show>
      <AddressMap universe={universe()} mine={props.unit.number} without={asked() ? props.unit.number : undefined} more={more()} />
      <span class="fact">Set the same address at the light.</span>
    </Editor>
  );
}

function CircuitEditor(props: { unit: UnitView; set: Set }) {
  return (
    <Editor label="Circuit" class="circuit-editor">
      <Row word="takes its power from">
        <Choice on={props.unit.circuit === null} press={() => props.unit.circuit !== null && props.set('circuit', null)}>
          none yet
        </Choice>
        <For each={scene()?.plan.circuits}>
          {(circuit) => (
            <Choice on={circuit.name === props.unit.circuit} press={() => circuit.name !== props.unit.circuit && props.set('circuit', circuit.name)}>
              {capital(circuit.name)}
            </Choice>
          )}
        </For>
      </Row>
      <span class="fact">Local code and a competent person decide what a circuit may carry.</span>
    </Editor>
  );
}
