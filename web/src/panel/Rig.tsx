import { createMemo, For, Show } from 'solid-js';
import type { Change, MainsField, PlaceField } from '../change.gen';
import { openChart, openChartOf } from '../charts';
import { begin, canMake, change, field } from '../making';
import { heads, openLight } from '../sight';
import { picked, pickAll, scene, setSetUp, settingUp, unitOf } from '../state';
import type { DivideView } from '../wire.gen';
import { capital, list } from '../words';
import { Circuit } from './Circuit';
import { DataLine } from './DataLine';
import { Door } from './Door';
import { Finding } from './Finding';
import { LightLevel } from './LightLevel';
import { LightRow } from './LightRow';
import { FormWord } from './Looks';
import { Act } from './make/Acts';
import { Opens } from './make/Opens';
import { Sheets } from './Sheets';
import { AddLights } from './rig/AddLights';
import { AddressMaps } from './rig/AddressMap';
import { Fields } from './rig/Fields';
import { Offers } from './rig/Offers';
import { AddCircuit, AddPlace } from './rig/Making';
import { How, Sums } from './rig/Sums';
import { WhatIf } from './rig/WhatIf';

/** '8 heads, none yet', '3 of 8 heads done'. */
function sightedWords(done: number, all: number): string {
  const heads = all === 1 ? 'head' : 'heads';
  return done === 0 ? `${all} ${heads}, none yet` : `${done} of ${all} ${heads} done`;
}

/** The plan: one sentence, what was found, then lights, circuits, lines and loads. */
export function Rig() {
  return (
    <Show when={scene()}>
      {(it) => (
        <div class="rig">
          <p class="label">
            {capital(it().show)}, {it().room.name}
          </p>
          <h1 class="title">{it().plan.headline.replace(/\.$/, '')}</h1>
          <Show when={(settingUp()?.of ?? 0) > 0}>
            <button type="button" class="key set-up-door" onClick={() => setSetUp(settingUp()?.check?.open ? 'check' : 'lights')}>
              Set up{' '}
              <span class="fact">
                {settingUp()?.check?.open ? 'the line check is open' : `${settingUp()?.done} of ${settingUp()?.of} lights done`}
              </span>
            </button>
          </Show>
          <Show when={heads().length > 0}>
            <button type="button" class="key sight-door" onClick={() => openLight(null)}>
              Sight in <span class="fact">{sightedWords(heads().filter((unit) => unit.sighting?.enough).length, heads().length)}</span>
            </button>
          </Show>
          <Show
            when={it().plan.findings.length > 0}
            fallback={<p class="saying small">Nothing to report from the checks.</p>}
          >
            <ul class="findings" aria-label="Findings">
              <For each={it().plan.findings}>{(finding) => <Finding finding={finding} />}</For>
            </ul>
          </Show>
          <p class="fact caution">
            Loads, currents and light levels are sums, not permissions: local code, the venue’s rules, the makers’ manuals and a
            competent person decide.
          </p>

          <Show when={canMake() && (it().units.length > 0 || it().room.places.length > 0)}>
            <div class="acts making-row">
              <FormWord form="what if">What if …</FormWord>
            </div>
            <Show when={field() === 'what if'}>
              <WhatIf />
            </Show>
          </Show>

          <Door />
          <LightLevel />
          <Sheets />

          <h2 class="section">Lights</h2>
          <Offers />
          <Lights />

          <Show when={it().groups.length > 0}>
            <p class="groups fact">
              Pick together:{' '}
              <For each={it().groups}>
                {(group, index) => (
                  <>
                    {index() === 0 ? '' : ', '}
                    <button type="button" class="handle inline" onClick={() => pickAll(group.units)}>
                      {group.name}
                    </button>
                  </>
                )}
              </For>
            </p>
          </Show>

          <Show when={it().units.length > 0}>
            <h2 class="section">Addresses</h2>
            <AddressMaps mine={picked().at(-1)} />
          </Show>

          <h2 class="section">Circuits</h2>
          <Fields of="mains" fields={it().plan.mains} set={(field, value, answer) => change({ type: 'mains_set', field: field as MainsField, value }, answer)} />
          <Show when={canMake()}>
            <div class="acts making-row">
              <FormWord form="add circuit">Add a circuit</FormWord>
            </div>
            <Show when={field() === 'add circuit'}>
              <AddCircuit />
            </Show>
          </Show>
          <Show when={it().plan.circuits.length > 0} fallback={<p class="fact">No circuits are planned.</p>}>
            <ul class="plain">
              <For each={it().plan.circuits}>{(circuit) => <Circuit circuit={circuit} />}</For>
            </ul>
          </Show>
          <Show when={it().plan.divide}>{(divide) => <Divide divide={divide()} />}</Show>

          <h2 class="section">Data lines</h2>
          <Show when={it().plan.lines.length > 0} fallback={<p class="fact">No data line is planned.</p>}>
            <ul class="plain">
              <For each={it().plan.lines}>{(line) => <DataLine line={line} />}</For>
            </ul>
          </Show>

          <h2 class="section">Hanging places</h2>
          <Show when={canMake()}>
            <div class="acts making-row">
              <FormWord form="add place">Add a place</FormWord>
            </div>
            <Show when={field() === 'add place'}>
              <AddPlace />
            </Show>
          </Show>
          <ul class="plain">
            <For each={it().room.places.map((place) => place.name)} fallback={<li class="place fact">There is nothing to hang or stand lights on yet.</li>}>
              {(name) => <Place name={name} />}
            </For>
          </ul>

          <Show when={it().plan.others.length > 0}>
            <h2 class="section">Supply and sound</h2>
            <Sums of="all" sums={it().plan.others} />
          </Show>

          <Show when={it().plan.cases.length > 0}>
            <h2 class="section">To pack</h2>
            <ul class="plain">
              <For each={it().plan.cases}>
                {(packed) => (
                  <li class="place">
                    <b>{capital(packed.name)}</b>, {packed.weight}
                    <p class="fact">{packed.items.join('; ')}.</p>
                  </li>
                )}
              </For>
            </ul>
          </Show>
        </div>
      )}
    </Show>
  );
}

/** A hanging place: what is said of it, and what it carries. */
function Place(props: { name: string }) {
  const place = () => scene()?.room.places.find((one) => one.name === props.name);
  const sums = () => scene()?.plan.places.find((one) => one.name === props.name)?.sums ?? [];
  return (
    <li class="place">
      <p>
        <b>{capital(props.name)}</b>, {place()?.kind}
      </p>
      <Fields of={`place ${props.name}`} fields={place()?.fields ?? []} set={(field, value, answer) => change({ type: 'place_set', name: props.name, field: field as PlaceField, value }, answer)} />
      <Sums of={props.name} sums={sums()} />
      <Show when={canMake() && sums().length === 0}>
        <div class="acts">
          <Act press={() => change({ type: 'place_remove', name: props.name })} label={`Remove ${props.name}`}>
            Remove
          </Act>
        </div>
      </Show>
    </li>
  );
}

/** Another way to divide the lights among the circuits. */
function Divide(props: { divide: DivideView }) {
  const key = 'how circuits, divided';
  const moves = () => props.divide.moves;
  const words = () => `Put ${list(moves().map((move) => `light ${move.unit} on ${move.to}`))}`;
  const changes = (): Change[] => moves().map((move) => ({ type: 'light_set', lights: [move.unit], field: 'circuit', value: move.to }));
  return (
    <div class="circuit divide">
      <p>
        <Show when={moves().length > 0} fallback={props.divide.says}>
          <b>{words()}</b> {props.divide.says}
        </Show>
      </p>
      <div class="acts">
        <Show when={canMake() && moves().length > 0}>
          <Act press={() => change({ type: 'many', changes: changes() })}>Divide them so</Act>
        </Show>
        <Opens field={key}>How it was found</Opens>
      </div>
      <Show when={field() === key}>
        <How what="the circuits" how={props.divide.how} />
      </Show>
    </div>
  );
}

/** Every light as a row, and the form that adds more; where there is none yet, what comes first. */
function Lights() {
  // By number: a row stays when its light is changed.
  const numbers = createMemo(() => scene()?.units.map((unit) => unit.number) ?? [], [], { equals: (a, b) => a.join() === b.join() });
  return (
    <>
      <Show when={numbers().length > 0} fallback={<FirstLights />}>
        <Show when={canMake()}>
          <div class="acts making-row">
            <FormWord form="add lights">Add lights</FormWord>
            <Act press={openChart}>A light that is not in the list …</Act>
          </div>
        </Show>
      </Show>
      <Show when={canMake() && field() === 'add lights'}>
        <AddLights />
      </Show>
      <Doubts />
      <ul class="plain">
        <For each={numbers()}>{(number) => <Show when={unitOf(number)}>{(unit) => <LightRow unit={unit()} />}</Show>}</For>
      </ul>
    </>
  );
}

/** Kinds of light about whose charts somebody has still to be asked. */
function Doubts() {
  const doubtful = () => scene()?.profiles.filter((kind) => (kind.questions ?? 0) > 0) ?? [];
  return (
    <For each={doubtful()}>
      {(kind) => (
        <p class="fact doubts">
          <b>{capital(kind.name)}</b>: {kind.questions === 1 ? '1 question about this light is open' : `${kind.questions} questions about this light are open`}.{' '}
          <Show when={canMake()}>
            <Act press={() => void openChartOf(kind.name)} label={`Its chart: ${kind.name}`}>
              Its chart
            </Act>
          </Show>
        </p>
      )}
    </For>
  );
}

function FirstLights() {
  return (
    <div class="first">
      <p class="saying">No lights yet. Say what kind of light hangs where, and each gets an address of its own, ready to set at the light.</p>
      <Show when={canMake() && field() !== 'add lights'}>
        <button type="button" class="key great" data-opens="add lights" onClick={() => begin('add lights')}>
          Add lights
        </button>
      </Show>
      <Show when={canMake()}>
        <div class="acts">
          <Act press={openChart}>A light that is not in the list …</Act>
        </div>
      </Show>
    </div>
  );
}
