import { createSignal, Index, Show } from 'solid-js';
import type { Value } from '../../change.gen';
import { change, resting } from '../../making';
import { unitOf } from '../../state';
import { ColourField } from '../ColourField';
import { Act } from './Acts';
import { Choice, Editor, Row } from './Opens';
import { setPart, type OpenPart } from './PartEditor';

const SPREADS = [
  ['even', 'by turns'],
  ['in order', 'in order'],
  ['from the middle', 'from the middle'],
] as const;

/** The colour of a sentence, or several that go over its lights. */
export function ColoursEditor(props: { open: OpenPart }) {
  const written = (): string[] => {
    const colour = props.open.part.values.colour;
    return colour === undefined ? [] : (Array.isArray(colour) ? colour : [colour]).map(String);
  };
  const colours = resting<string[]>(written, (next) => set(next));
  const [which, setWhich] = createSignal(0);
  const at = () => Math.min(which(), Math.max(0, colours.get().length - 1));
  const value = (next: readonly string[]): Value | null => (next.length === 0 ? null : next.length === 1 ? next[0]! : [...next]);
  const set = (next: readonly string[]) => setPart(props.open, 'colour', value(next));
  // Of several kinds of light the first that mixes says what can be made.
  const unit = () => {
    const units = props.open.part.lights.map(unitOf).filter((one) => one !== undefined);
    return units.find((one) => one.reach !== null) ?? units[0];
  };
  const spread = () => (props.open.part.values.colour_spread ?? 'even') as string;
  return (
    <Editor label="Colour" class="colours-editor">
      <Row word={colours.get().length > 1 ? 'these colours' : 'this colour'}>
        <Choice on={colours.get().length === 0} press={() => set([])}>
          each light’s own white
        </Choice>
        <Index each={colours.get()}>
          {(colour, i) => (
            <Choice on={at() === i && colours.get().length > 0} colour={props.open.part.hexes[i] ?? '#888888'} press={() => setWhich(i)}>
              {colour()}
            </Choice>
          )}
        </Index>
        <Act
          press={() => {
            set([...written(), written().at(-1) ?? 'white']);
            setWhich(written().length);
          }}
        >
          {written().length === 0 ? 'A colour' : 'One more'}
        </Act>
        <Show when={written().length > 1}>
          <Act label={`One less, without ${written()[at()]}`} press={() => set(written().filter((_, i) => i !== at()))}>
            One less
          </Act>
        </Show>
      </Row>
      <Show when={written().length > 1}>
        <Row word="over the lights">
          <Index each={SPREADS}>
            {(one) => (
              <Choice on={spread() === one()[0]} press={() => change({ type: 'part_set', look: props.open.look, part: props.open.number, field: 'colour_spread', value: one()[0] === 'even' ? null : one()[0] })}>
                {one()[1]}
              </Choice>
            )}
          </Index>
        </Row>
      </Show>
      <Show when={unit()}>
        {(unit) => (
          <ColourField
            unit={unit()}
            chosen={colours.get()[at()] ?? ''}
            key={props.open.key('colour')}
            take={(write) => colours.set(colours.get().length === 0 ? [write] : colours.get().map((one, i) => (i === at() ? write : one)))}
          />
        )}
      </Show>
    </Editor>
  );
}
