import { createEffect, createMemo, createSignal, For, on, onCleanup, Show } from 'solid-js';
import type { Change } from '../../change.gen';
import { change, closeField } from '../../making';
import { scene, up } from '../../state';
import { askWhatIf, whatIf } from '../../whatif';
import { capital } from '../../words';
import { Finding } from '../Finding';
import { Act } from '../make/Acts';
import { KindRows } from '../KindRows';
import { Choice, Editor, Row } from '../make/Opens';
import { modeWords } from './AddLights';

const QUESTIONS = ['a light more', 'a light less', 'another mode', 'another mains'] as const;
type Question = (typeof QUESTIONS)[number];
const MAINS = [100, 120, 230] as const;

const [question, setQuestion] = createSignal<Question>('a light more');
const [kindName, setKind] = createSignal<string>();
const [placeName, setPlace] = createSignal<string>();
const [light, setLight] = createSignal<number>();
const [modeName, setMode] = createSignal<string>();
const [volts, setVolts] = createSignal<number>(120);

/** What would the plan say? Nothing is changed until it is wanted. */
export function WhatIf() {
  const kind = () => scene()?.profiles.find((one) => one.name === kindName()) ?? scene()?.profiles[0];
  const place = () => scene()?.room.places.find((one) => one.name === placeName()) ?? scene()?.room.places[0];
  const unit = () => scene()?.units.find((one) => one.number === light()) ?? scene()?.units[0];
  /** The mode that is asked about: another than the light has. */
  const mode = () => {
    const others = unit()?.modes.filter((one) => one.name !== unit()?.mode) ?? [];
    return others.find((one) => one.name === modeName()) ?? others[0];
  };
  const wanted = createMemo((): Change | null => {
    switch (question()) {
      case 'a light more': {
        const [what, where] = [kind(), place()];
        return what && where ? { type: 'light_add', profile: what.name, mode: null, place: where.name, count: 1, universe: null } : null;
      }
      case 'a light less': {
        const it = unit();
        return it ? { type: 'light_remove', lights: [it.number] } : null;
      }
      case 'another mode': {
        const [it, to] = [unit(), mode()];
        return it && to ? { type: 'light_set', lights: [it.number], field: 'mode', value: to.name } : null;
      }
      case 'another mains':
        return { type: 'mains_set', field: 'volts', value: `${volts()} V` };
    }
  });
  createEffect(on([wanted, scene, up], ([what, , touch]) => touch && askWhatIf(what)));
  onCleanup(() => askWhatIf(null));
  const make = () => {
    const what = wanted();
    if (what) change(what, (done) => done && closeField());
  };
  const lights = (other: boolean) => (
    <Row word="which">
      <For each={scene()?.units.filter((one) => !other || one.modes.length > 1)}>
        {(one) => (
          <Choice on={unit()?.number === one.number} press={() => setLight(one.number)} label={`light ${one.number}, ${one.kind}`}>
            <span class="number">{one.number}</span>
          </Choice>
        )}
      </For>
    </Row>
  );
  return (
    <Editor label="What if" class="what-if">
      <Row word="what if there were">
        <For each={QUESTIONS}>
          {(one) => (
            <Choice on={question() === one} press={() => setQuestion(one)}>
              {one}
            </Choice>
          )}
        </For>
      </Row>
      <Show when={question() === 'a light more'}>
        <KindRows chosen={kind()?.name} press={setKind} />
        <Row word="on">
          <For each={scene()?.room.places}>
            {(one) => (
              <Choice on={place()?.name === one.name} press={() => setPlace(one.name)}>
                {one.name}
              </Choice>
            )}
          </For>
        </Row>
      </Show>
      <Show when={question() === 'a light less'}>{lights(false)}</Show>
      <Show when={question() === 'another mode'}>
        {lights(true)}
        <Row word="mode">
          <For each={unit()?.modes.filter((one) => one.name !== unit()?.mode)} fallback={<span class="fact">It has but one.</span>}>
            {(one) => (
              <Choice on={mode()?.name === one.name} press={() => setMode(one.name)}>
                {modeWords(one)}
              </Choice>
            )}
          </For>
        </Row>
      </Show>
      <Show when={question() === 'another mains'}>
        <Row word="of">
          <For each={MAINS}>
            {(one) => (
              <Choice on={volts() === one} press={() => setVolts(one)}>
                {one} V
              </Choice>
            )}
          </For>
        </Row>
      </Show>
      <div role="status" class="what-if-answer">
        <Show when={whatIf()}>
          {(it) => (
            <Show when={!it().refused} fallback={<p class="why">{it().says}</p>}>
              <For each={it().lines} fallback={<p class="saying small">Nothing that the plan knows of would change.</p>}>
                {(line) => <p class="saying small">{capital(line)}.</p>}
              </For>
              <Show when={it().come.length > 0}>
                <p class="fact">Would come</p>
                <ul class="findings">
                  <For each={it().come}>{(finding) => <Finding finding={finding} />}</For>
                </ul>
              </Show>
              <Show when={it().go.length > 0}>
                <p class="fact">Would go: {it().go.map((finding) => finding.what).join('; ')}.</p>
              </Show>
            </Show>
          )}
        </Show>
      </div>
      <div class="acts">
        <Act disabled={whatIf()?.refused !== false} press={make}>
          Do it
        </Act>
        <Act press={closeField}>Leave it</Act>
      </div>
      <span class="fact">Nothing is changed by asking. Sums, not permissions: local code, the venue and a competent person decide.</span>
    </Editor>
  );
}
