import { Show } from 'solid-js';
import { askedLevel, letGo, markOf } from '../act';
import { openCharting } from '../charts';
import { may } from '../door';
import { canMake } from '../making';
import { openLight } from '../sight';
import { calm, held, lightOf, openWord, pick, picked, setOpenWord, slipUnit, stage, up } from '../state';
import type { LightMoment, UnitView } from '../wire.gen';
import { capital, colourWord, hexOf, level, lights, lux, metres, percent, the } from '../words';
import { Handle } from './Handle';
import { KeepForm } from './make/Keep';
import { SlipEditor } from './SlipEditor';

/** The small sheet beside a picked light: who it is and who drives it, and a sentence whose words change it. */
export function Slip(props: { onHeight: (element: HTMLElement) => void }) {
  return (
    <Show when={slipUnit()}>
      {(unit) => (
        <aside class="slip" aria-label={`Light ${unit().number}`} ref={(element) => props.onHeight(element)}>
          <p class="label">{about(unit())}</p>
          <p class="slip-sentence">
            <SlipSentence unit={unit()} />
          </p>
          <SlipEditor unit={unit()} />
          <Show when={openWord() === 'keep'}>
            <KeepForm close={() => setOpenWord(null)} />
          </Show>
          <p class="fact slip-facts">
            <span>{measured(unit())}</span>{' '}
            <Show when={mine().length > 0 && may('run')}>
              <button type="button" class="handle inline" aria-disabled={!up()} onClick={() => letGo(mine())}>
                Let go
              </button>{' '}
            </Show>
            <Show when={canMake() && stage() !== 'tonight'}>
              <Handle open={openWord() === 'keep'} press={() => setOpenWord(openWord() === 'keep' ? null : 'keep')}>
                Keep
              </Handle>{' '}
            </Show>
            <Show when={unit().sighting && may('make')}>
              <button type="button" class="handle inline" onClick={() => openLight(unit().number)}>
                Sight in
              </button>{' '}
            </Show>
            <Show when={canMake() && stage() !== 'tonight'}>
              <button type="button" class="handle inline" onClick={() => openCharting({ view: 'channels', unit: unit().number })}>
                Its channels
              </button>{' '}
            </Show>
            <button type="button" class="handle inline" onClick={() => pick(null)}>
              Put down
            </button>
          </p>
        </aside>
      )}
    </Show>
  );
}

/** Those of the picked lights that are held. */
const mine = () => picked().filter((number) => held().includes(number));

/** What comes out of that which gives no light. */
const GIVES: Record<string, string | undefined> = { hazer: 'Haze', fogger: 'Fog', machine: 'Gives' };

function SlipSentence(props: { unit: UnitView }) {
  const light = () => lightOf(props.unit.number);
  const head = () => light()?.heads[0];
  const gives = () => GIVES[props.unit.symbol];
  const toggle = (word: 'colour' | 'level' | 'where') => setOpenWord(openWord() === word ? null : word);
  const shown = () => askedLevel(props.unit.number) ?? head()?.level ?? 0;
  return (
    <Show when={!gives()} fallback={<>{gives()} {level(head()?.haze ?? 0)}.</>}>
      <Handle open={openWord() === 'colour'} colour={head() && hexOf(head()!.rgb)} press={() => toggle('colour')}>
        {head() ? capital(colourWord(head()!.rgb)) : 'Not known'}
      </Handle>
      {', '}
      <Handle open={openWord() === 'level'} press={() => toggle('level')}>
        {level(shown())}
      </Handle>
      <Show when={where(props.unit, light())}>
        {(place) => (
          <>
            {', on '}
            <Show when={props.unit.moves} fallback={place()}>
              <Handle open={openWord() === 'where'} press={() => toggle('where')}>
                {place()}
              </Handle>
            </Show>
          </>
        )}
      </Show>
      <Show when={head()?.gobo}>{(gobo) => <>, pattern {gobo()}</>}</Show>
      <Show when={head()?.prism}>, through the prism</Show>
      <Show when={(head()?.strobe_hz ?? 0) > 0}>, {head()!.strobe_hz.toFixed(1)} flashes a second</Show>.
    </Show>
  );
}

function about(unit: UnitView): string {
  const others = picked().length > 1 ? `, with ${lights(picked().slice(0, -1))}` : '';
  const light = lightOf(unit.number);
  const driver = !light ? '' : light.held ? ', held by your hand' : light.driver === 'nobody' ? ', nobody drives it' : `, driven by ${capital(light.driver)}`;
  return `Light ${unit.number}, ${unit.kind} on ${the(unit.place)}${others}${driver}`;
}

/** The mark that it is on, else the surface that it meets. */
function where(unit: UnitView, light: LightMoment | undefined): string | undefined {
  calm();
  const spot = light?.heads[0]?.spot;
  if (!spot) return unit.moves ? 'nothing in the room' : undefined;
  return the(markOf(unit.number) ?? spot.surface);
}

/** The figures of its spot, as the machine reckons them. */
function measured(unit: UnitView): string {
  const light = lightOf(unit.number);
  const head = light?.heads[0];
  if (!light || !head || GIVES[unit.symbol]) return '';
  const parts: string[] = [];
  const spot = head.spot;
  if (spot && head.level >= 0.005) {
    parts.push(`${metres(2 * length(spot.minor))} by ${metres(2 * length(spot.major))}`);
    parts.push(spot.lux === null ? 'brightness not known' : `${lux(spot.lux)} in the middle`);
  }
  if (spot) parts.push(`throw ${metres(spot.throw_m)}`);
  const asked = askedLevel(unit.number);
  if (asked !== undefined && Math.abs(asked - head.level) > 0.015) parts.push(`gives ${percent(head.level)} of its most now`);
  if (light.moving) parts.push('on its way');
  return parts.length > 0 ? `${capital(parts.join(', '))}.` : '';
}

function length(vector: readonly number[]): number {
  return Math.hypot(...vector);
}
