import { For, Show } from 'solid-js';
import type { Change, FigureField, Value } from '../../change.gen';
import { freeName } from '../../follow';
import { change } from '../../making';
import { scene } from '../../state';
import type { FigureView } from '../../wire.gen';
import { Act } from './Acts';
import { Choice, Editor, Row } from './Opens';
import { setPart, type OpenPart } from './PartEditor';
import { Typed } from './Typed';

/** What each shape does, as it is told. */
const SHAPES = [
  ['circle', 'round and round'],
  ['eight', 'a lying eight'],
  ['line', 'to and fro'],
  ['sweep', 'all along a line together'],
  ['fan', 'spread out and close again'],
  ['wave', 'near and far, one after another'],
  ['hold', 'standing around a circle'],
  ['wander', 'each its own way'],
] as const;
const SPEEDS = ['4 beats', '8 beats', '16 beats', '0.5 m/s', '1 m/s'];
const PLANES = ['floor', 'back wall', 'left wall', 'right wall', 'front wall'];
const SPREADS = ['in order', 'from the middle', 'mirrored'];
/** Of these every light goes its own way or all of them one. */
const ALONE = ['sweep', 'fan', 'wander'];
/** A figure to begin with: small, slow, and round. */
const FIRST = { shape: 'circle', size: '2 m', speed: '8 beats' };

/** Which figure a sentence runs, and the figure itself. */
export function FigureEditor(props: { open: OpenPart }) {
  const figures = () => scene()?.figures ?? [];
  const own = () => figures().find((figure) => figure.name === props.open.part.values.figure);
  const run = (figure: string): Change => ({ type: 'part_set', look: props.open.look, part: props.open.number, field: 'figure', value: figure });
  const begin = () => {
    const name = freeName('New figure', figures().map((figure) => figure.name));
    change({ type: 'many', changes: [{ type: 'figure_add', name, values: FIRST }, run(name)] });
  };
  return (
    <Editor label="Figure" class="figure-editor">
      <Choice on={props.open.part.values.figure === undefined} press={() => setPart(props.open, 'figure', null)}>
        standing still
      </Choice>
      <For each={figures()}>
        {(figure) => (
          <Choice on={own()?.name === figure.name} press={() => change(run(figure.name))}>
            {figure.name} <span class="fact">{figure.says}</span>
          </Choice>
        )}
      </For>
      <Choice on={false} press={begin}>
        a new figure
      </Choice>
      <Show when={own()}>{(figure) => <OneFigure figure={figure()} key={props.open.key} />}</Show>
      <span class="fact">A path through people carries bright beams over eyes: lead it where nobody looks into the light.</span>
    </Editor>
  );
}

function OneFigure(props: { figure: FigureView; key: (of: string) => string }) {
  const name = () => props.figure.name;
  const value = (of: FigureField) => props.figure.values[of];
  const shape = () => String(value('shape') ?? 'circle');
  const set = (field: FigureField, to: Value | null, answer?: (done: boolean) => void) => change({ type: 'figure_set', name: name(), field, value: to }, answer);
  /** The figure stays with every sentence that runs it. */
  const reshape = (shape: string) => {
    const to = (field: FigureField, value: Value | null): Change => ({ type: 'figure_set', name: name(), field, value });
    const changes = [to('shape', shape)];
    // What the new shape has no use for goes with the old one.
    const size = value('size');
    if (Array.isArray(size) && shape !== 'eight') changes.push(to('size', size[0] ?? FIRST.size));
    if (shape === 'hold' && value('speed') !== undefined) changes.push(to('speed', null));
    if (shape !== 'hold' && value('speed') === undefined) changes.push(to('speed', FIRST.speed));
    for (const of of ['phase', 'phase_spread'] as const) if (ALONE.includes(shape) && value(of) !== undefined) changes.push(to(of, null));
    change({ type: 'many', changes });
  };
  const size = () => {
    const sizes = value('size');
    return Array.isArray(sizes) ? sizes.join(' by ') : String(sizes ?? '');
  };
  const takeSize = (text: string, answer: (done: boolean) => void) => {
    const sizes = text.split(/\s+by\s+|\s*x\s*/).map((one) => (/[a-z]$/i.test(one) ? one : `${one} m`));
    set('size', sizes.length === 1 ? sizes[0]! : sizes, answer);
  };
  return (
    <section class="figure-made" aria-label={`Figure ${name()}`}>
      <p class="fact">
        {name()}: {props.figure.says}
        <Show when={props.figure.used}>, {props.figure.used}</Show>
      </p>
      <Row word="shape">
        <For each={SHAPES}>
          {([word, says]) => (
            <Choice on={shape() === word} press={() => shape() !== word && reshape(word)}>
              {word} <span class="fact">{says}</span>
            </Choice>
          )}
        </For>
      </Row>
      <Typed key={props.key('figure size')} label={shape() === 'eight' ? 'wide by high' : 'from end to end'} value={size()} most={24} take={takeSize} />
      <Show when={shape() !== 'hold'}>
        <Row word="speed">
          <For each={SPEEDS}>
            {(speed) => (
              <Choice on={value('speed') === speed} press={() => set('speed', speed)}>
                {/beats/.test(speed) ? `${speed} a round` : speed}
              </Choice>
            )}
          </For>
          <Typed key={props.key('figure speed')} label="or" value={String(value('speed') ?? '')} most={16} take={(text, answer) => set('speed', text, answer)} />
        </Row>
      </Show>
      <Row word="lies on the">
        <For each={PLANES}>
          {(plane) => (
            <Choice on={(value('plane') ?? 'floor') === plane} press={() => set('plane', plane === 'floor' ? null : plane)}>
              {plane}
            </Choice>
          )}
        </For>
      </Row>
      <Row word="runs">
        <Choice on={value('direction') !== 'backward'} press={() => set('direction', null)}>
          forwards
        </Choice>
        <Choice on={value('direction') === 'backward'} press={() => set('direction', 'backward')}>
          backwards
        </Choice>
      </Row>
      <Show when={!ALONE.includes(shape())}>
        <Row word="the lights">
          <For each={[[0, 'together'], [0.5, 'over half a round'], [1, 'evenly round']] as const}>
            {([phase, word]) => (
              <Choice on={value('phase') === phase || (value('phase') === undefined && phase === (shape() === 'wave' || shape() === 'hold' ? 1 : 0))} press={() => set('phase', phase)}>
                {word}
              </Choice>
            )}
          </For>
        </Row>
        <Row word="follow each other">
          <For each={SPREADS}>
            {(spread) => (
              <Choice on={(value('phase_spread') ?? 'in order') === spread} press={() => set('phase_spread', spread === 'in order' ? null : spread)}>
                {spread}
              </Choice>
            )}
          </For>
        </Row>
      </Show>
      <Typed key={props.key('figure name')} label="called" value={name()} wide take={(to, answer) => change({ type: 'figure_rename', name: name(), to }, answer)} />
      <div class="acts">
        <Act label={`Remove figure ${name()}`} press={() => change({ type: 'figure_remove', name: name() })}>
          Remove figure
        </Act>
      </div>
    </section>
  );
}
