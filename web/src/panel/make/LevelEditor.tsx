import { For, Show } from 'solid-js';
import type { Change, PartField, Value } from '../../change.gen';
import { change, resting } from '../../making';
import { percent } from '../../words';
import { Line } from '../Line';
import { Choice, Editor, Row } from './Opens';
import { setPart, type OpenPart } from './PartEditor';
import { Typed } from './Typed';

/** A level as a part of full, or as light that lands somewhere. */
type Level = { part: number } | { lux: string };

const SPREADS = ['in order', 'from the middle'] as const;

/** How bright: a part of full or a light level, alike or rising over the lights. */
export function LevelEditor(props: { open: OpenPart }) {
  const level = (): Level => read(props.open.part.values.level);
  const far = () => props.open.part.values.level_to;
  const many = (...sets: [PartField, Value | null][]) =>
    change({ type: 'many', changes: sets.map(([field, value]): Change => ({ type: 'part_set', look: props.open.look, part: props.open.number, field, value })) });
  const lux = () => {
    const it = level();
    return 'lux' in it ? it.lux : undefined;
  };
  return (
    <Editor label="How bright" class="level-made">
      <Row word="as">
        <Choice on={lux() === undefined} press={() => lux() !== undefined && many(['on', null], ['level', '60 %'])}>
          a part of full
        </Choice>
        <Choice on={lux() !== undefined} press={() => lux() === undefined && many(['level_to', null], ['level_spread', null], ['level', '200 lx'])}>
          light that lands
        </Choice>
      </Row>
      <Show when={lux()} fallback={<Part open={props.open} field="level" label="level" many={many} />}>
        {(lux) => (
          <>
            <Row word="lux">
              <For each={['100 lx', '200 lx', '400 lx', '600 lx']}>
                {(one) => (
                  <Choice on={lux() === one} press={() => setPart(props.open, 'level', one)}>
                    {one}
                  </Choice>
                )}
              </For>
              <Typed
                key={`${props.open.key('level')} lux`}
                label="or"
                after="lx"
                figures
                most={10}
                value={lux().replace(/\s*(lx|lux)$/, '')}
                take={(text, answer) => setPart(props.open, 'level', /[a-z]/.test(text) ? text : `${text} lx`, answer)}
              />
            </Row>
            <Row word="measured on">
              <Choice on={props.open.part.values.on === undefined} press={() => setPart(props.open, 'on', null)}>
                what fits the height
              </Choice>
              <Choice on={props.open.part.values.on === 'face'} press={() => setPart(props.open, 'on', 'face')}>
                a face
              </Choice>
              <Choice on={props.open.part.values.on === 'level'} press={() => setPart(props.open, 'on', 'level')}>
                a level surface
              </Choice>
            </Row>
          </>
        )}
      </Show>
      <Show when={lux() === undefined}>
        <Row word="over the lights">
          <Choice on={far() === undefined} press={() => far() !== undefined && many(['level_to', null], ['level_spread', null])}>
            all alike
          </Choice>
          <For each={SPREADS}>
            {(spread) => (
              <Choice
                on={far() !== undefined && props.open.part.values.level_spread === spread}
                press={() => many(['level_spread', spread], ['level_to', far() ?? '20 %'])}
              >
                {spread}
              </Choice>
            )}
          </For>
        </Row>
        <Show when={far() !== undefined}>
          <Part open={props.open} field="level_to" label="to" many={many} />
        </Show>
      </Show>
    </Editor>
  );
}

function Part(props: { open: OpenPart; field: 'level' | 'level_to'; label: string; many: unknown }) {
  const truth = () => {
    const level = read(props.open.part.values[props.field]);
    return 'part' in level ? level.part : 1;
  };
  const part = resting(truth, (value) => setPart(props.open, props.field, `${Math.round(value * 100)} %`));
  return (
    <div class="level-editor">
      <Line label={props.label} value={part.get()} said={percent(part.get())} onInput={part.set} />
      <Typed
        key={`${props.open.key('level')} ${props.field}`}
        label={props.label}
        silent
        after="%"
        figures
        most={6}
        value={String(Math.round(part.get() * 100))}
        take={(text, answer) => setPart(props.open, props.field, /^[\d.]+$/.test(text) ? `${text} %` : text, answer)}
      />
    </div>
  );
}

function read(value: Value | undefined): Level {
  if (typeof value === 'number') return { part: value };
  if (typeof value !== 'string') return { part: 1 };
  const found = /^([\d.]+)\s*(%?)$/.exec(value.trim());
  if (!found) return { lux: value };
  return { part: Math.min(1, Number(found[1]) / (found[2] ? 100 : 1)) };
}
