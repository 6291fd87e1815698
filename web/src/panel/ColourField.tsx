import { createEffect, createSignal, For, on, Show } from 'solid-js';
import { askColour, paced, tellColour } from '../act';
import { draft, setDraft } from '../making';
import { colourAnswer, lightOf, picked, scene } from '../state';
import type { ReachDot, ReachView, UnitView } from '../wire.gen';
import { COLOURS, colourWord, percent } from '../words';
import { Line } from './Line';

/** The warmest and the coldest white that can be set, in mired, and the largest tint (Duv). */
const WARM = 526;
const COLD = 100;
const TINT = 0.02;

/**
 * The colours of one light: words, a field of what it can make with its brightness there, whites by temperature and tint,
 * and any colour as it is written. All of it goes to every picked light; the field and the answer are the last one's.
 * With `take` it goes there instead, and `chosen` is the colour as it stands.
 */
export function ColourField(props: { unit: UnitView; chosen?: string; key?: string; take?: (write: string) => void }) {
  const reach = () => (props.unit.reach === null ? undefined : scene()?.reaches[props.unit.reach]);
  const rgb = () => lightOf(props.unit.number)?.heads[0]?.rgb;
  const word = () => (rgb() ? colourWord(rgb()!) : '');
  const [written, setWritten] = createSignal('');
  const typedKey = () => `${props.key ?? 'slip'} any`;
  const ask = paced((write: string) => {
    if (props.take) props.take(write);
    else askColour(picked(), write);
    tellColour(props.unit.number, write);
  });
  const take = (write: string) => {
    setWritten(write);
    ask(write);
  };
  const answer = () => {
    const said = colourAnswer();
    return said && said.unit === props.unit.number && said.ask === written() ? said : undefined;
  };
  const pressed = (...ways: string[]) => (props.take ? ways.includes(props.chosen ?? '') : ways.includes(word()));
  createEffect(on(() => props.unit.number, () => setWritten(''), { defer: true }));
  return (
    <div class="colour-editor" classList={{ editor: !props.take }} role="group" aria-label="Colour">
      <div class="colour-words">
        <Show when={props.take}>
          <For each={scene()?.swatches}>
            {(swatch) => (
              <button
                type="button"
                class="choice colour swatch"
                style={{ '--colour': swatch.hex }}
                aria-pressed={props.chosen === swatch.name}
                onClick={() => take(swatch.name)}
              >
                {swatch.name}
              </button>
            )}
          </For>
        </Show>
        <For each={COLOURS}>
          {(colour) => (
            <button
              type="button"
              class="choice colour"
              style={{ '--colour': colour.hex }}
              aria-pressed={props.take ? pressed(colour.word, colour.write) : pressed(colour.word)}
              onClick={() => take(colour.write)}
            >
              {colour.word}
            </button>
          )}
        </For>
      </div>
      <p class="fact colour-answer" role="status" style={{ '--colour': answer()?.hex ?? 'transparent' }}>
        {answer()?.says ?? (reach()?.dots.length ? 'The larger a dot, the more light there is of its colour.' : '')}
      </p>
      <Show when={reach()}>
        {(reach) => (
          <>
            <Show when={reach().dots.length > 0}>
              <Field reach={reach()} written={written()} take={take} />
            </Show>
            <Whites reach={reach()} take={take} />
          </>
        )}
      </Show>
      <form
        class="typed any-colour"
        onSubmit={(event) => {
          event.preventDefault();
          const text = draft(typedKey())?.trim();
          if (!text) return;
          take(text);
          setDraft(typedKey(), undefined);
        }}
      >
        <label>
          another colour{' '}
          <input
            type="text"
            name="colour"
            maxlength="60"
            autocomplete="off"
            spellcheck={false}
            placeholder="rose, #ff8800, 3200 K, xy 0.45 0.41"
            value={draft(typedKey()) ?? ''}
            onInput={(event) => setDraft(typedKey(), event.currentTarget.value)}
          />
        </label>
        <button type="submit" class="handle">
          Show
        </button>
      </form>
    </div>
  );
}

/** What the light can make: an outline, and dots as large as there is light. */
function Field(props: { reach: ReachView; written: string; take: (write: string) => void }) {
  const at = () => props.reach.dots.find((dot) => dot.write === props.written);
  const width = 300;
  const height = () => width / props.reach.aspect;
  const brightest = () => Math.max(...props.reach.dots.map((dot) => dot.most));
  const corners = () => props.reach.outline.map(([x, y]) => `${x * width},${y * height()}`).join(' ');
  const radius = (dot: ReachDot) => 1.6 + 6.4 * Math.sqrt(dot.most / brightest());
  const nearest = (x: number, y: number) => {
    let best: ReachDot | undefined;
    let least = Infinity;
    for (const dot of props.reach.dots) {
      const away = Math.hypot(dot.at[0] * width - x, dot.at[1] * height() - y);
      if (away < least) [best, least] = [dot, away];
    }
    return best;
  };
  const choose = (dot: ReachDot | undefined) => {
    if (!dot || dot === at()) return;
    props.take(dot.write);
  };
  const point = (event: PointerEvent & { currentTarget: SVGSVGElement }) => {
    const box = event.currentTarget.getBoundingClientRect();
    choose(nearest(((event.clientX - box.left) / box.width) * width, ((event.clientY - box.top) / box.height) * height()));
  };
  const key = (event: KeyboardEvent) => {
    const step = STEPS[event.key];
    if (!step || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    const from = at()?.at ?? [0.5, 0.5];
    const [x, y] = [from[0] * width, from[1] * height()];
    let found: ReachDot | undefined;
    for (let far = 6; far < width && (!found || found === at()); far += 4) found = nearest(x + step[0] * far, y + step[1] * far);
    choose(found);
  };
  let held = false;
  return (
    <svg
      class="colour-field"
      viewBox={`0 0 ${width} ${height()}`}
      style={{ '--aspect': props.reach.aspect }}
      role="application"
      tabindex="0"
      aria-label={`Colours that it can make${at() ? `: ${percent(at()!.most)} of its full light here` : ''}`}
      onPointerDown={(event) => {
        held = true;
        event.currentTarget.setPointerCapture(event.pointerId);
        point(event);
      }}
      onPointerMove={(event) => held && point(event)}
      onPointerUp={() => (held = false)}
      onPointerCancel={() => (held = false)}
      onKeyDown={key}
    >
      <polygon points={corners()} />
      <For each={props.reach.dots}>
        {(dot) => <circle cx={dot.at[0] * width} cy={dot.at[1] * height()} r={radius(dot)} fill={dot.hex} />}
      </For>
      <Show when={at()}>
        {(dot) => <circle class="here" cx={dot().at[0] * width} cy={dot().at[1] * height()} r={radius(dot()) + 3} />}
      </Show>
    </svg>
  );
}

const STEPS: Record<string, readonly [number, number]> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** Whites: some to choose from, and any by temperature and tint. */
function Whites(props: { reach: ReachView; take: (write: string) => void }) {
  const [mired, setMired] = createSignal<number>();
  const [tint, setTint] = createSignal(0);
  const kelvin = () => Math.round(1e6 / (mired() ?? 250) / 50) * 50;
  const write = () => (tint() === 0 ? `${kelvin()} K` : `${kelvin()} K ${tint() > 0 ? '+' : ''}${tint().toFixed(3)}`);
  const said = () => (mired() === undefined ? 'not set' : `${kelvin()} K`);
  const lean = () => (tint() === 0 ? 'none' : `${Math.abs(tint()).toFixed(3)} towards ${tint() > 0 ? 'green' : 'pink'}`);
  return (
    <div class="whites">
      <div class="colour-words kelvins">
        <For each={props.reach.whites}>
          {(white) => (
            <button
              type="button"
              class="choice colour"
              classList={{ far: white.most === null }}
              style={{ '--colour': white.hex }}
              aria-label={`${white.kelvin} K, ${white.most === null ? 'out of reach' : `${percent(white.most)} of its full light`}`}
              onClick={() => {
                setMired(1e6 / white.kelvin);
                setTint(0);
                props.take(`${white.kelvin} K`);
              }}
            >
              {white.kelvin} K
            </button>
          )}
        </For>
      </div>
      <Line
        label="colour temperature"
        value={(WARM - (mired() ?? 250)) / (WARM - COLD)}
        said={said()}
        onInput={(value) => {
          setMired(WARM - value * (WARM - COLD));
          props.take(write());
        }}
      >
        white <span class="fact">{said()}</span>
      </Line>
      <Line
        label="tint"
        value={(tint() + TINT) / (2 * TINT)}
        said={lean()}
        onInput={(value) => {
          setTint(Math.round((value * 2 - 1) * TINT * 1000) / 1000);
          setMired((before) => before ?? 250);
          props.take(write());
        }}
      >
        tint <span class="fact">{lean()}</span>
      </Line>
    </div>
  );
}
