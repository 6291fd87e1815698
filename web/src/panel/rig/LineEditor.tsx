import { For, Show } from 'solid-js';
import { change } from '../../making';
import { scene, unitOf } from '../../state';
import type { LineView, UnitView } from '../../wire.gen';
import { Choice, Editor, Row } from '../make/Opens';
import { Typed } from '../make/Typed';

const driven = () => scene()?.plan.lines.filter((line) => line.kind === 'driven') ?? [];

/** The controller's line that a light is on. */
export const lineOf = (unit: UnitView): LineView | undefined => driven().find((line) => line.units.includes(unit.number));

/** As the show file calls it; one without a name has it from its universe: "line 1". */
export const nameOf = (line: LineView): string => unitOf(line.units[0] ?? 0)?.line ?? line.name.replace(/^line /, '');

/** 'first on line A', 'on line A after light 5'. */
export function stationWords(line: LineView, number: number): string {
  const at = line.units.indexOf(number);
  return at <= 0 ? `first on ${line.name}` : `on ${line.name} after light ${line.units[at - 1]}`;
}

/** On which data line a light is, and behind which other: as the cable runs. */
export function LineEditor(props: { unit: UnitView; key: string }) {
  const line = () => lineOf(props.unit);
  const mine = props.unit.number;
  const others = () => line()?.units.filter((number) => number !== mine) ?? [];
  const before = () => line()?.units[line()!.units.indexOf(mine) - 1] ?? null;
  const put = (after: number | null) => {
    const it = line();
    if (!it || after === before()) return;
    const rest = others();
    const at = after === null ? 0 : rest.indexOf(after) + 1;
    change({ type: 'line_set', name: nameOf(it), lights: [...rest.slice(0, at), mine, ...rest.slice(at)] });
  };
  /** The last of another line, or the first of a new one. */
  const join = (name: string, units: readonly number[], answer?: (done: boolean) => void) =>
    change({ type: 'line_set', name, lights: [...units, mine] }, answer);
  return (
    <Editor label="Data line" class="line-editor">
      <Row word="data line">
        <For each={driven()}>
          {(one) => (
            <Choice on={one.units.includes(mine)} press={() => !one.units.includes(mine) && join(nameOf(one), one.units)}>
              {one.name}
            </Choice>
          )}
        </For>
        <Typed key={props.key} label="or a new one" value="" placeholder="B" most={40} enter take={(text, answer) => join(text, [], answer)} />
      </Row>
      <Show when={others().length > 0}>
        <Row word="its cable comes from">
          <Choice on={before() === null} press={() => put(null)}>
            the controller
          </Choice>
          <For each={others()}>
            {(number) => (
              <Choice on={before() === number} press={() => put(number)} label={`light ${number}`}>
                <span class="number">{number}</span>
              </Choice>
            )}
          </For>
        </Row>
      </Show>
      <span class="fact">One line runs from light to light and ends in a terminator; its order does not change the addresses.</span>
    </Editor>
  );
}
