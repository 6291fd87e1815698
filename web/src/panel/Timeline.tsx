import { createEffect, createMemo, createSignal, For, Index, on, onCleanup, onMount, Show } from 'solid-js';
import { folded } from '../fold';
import { canMake } from '../making';
import { barAt, chosen, movePart, moveToBar, nearestBar, peaks, placeNow, playing, seek, seekBars, setChosen } from '../score';
import type { ScorePartView, ScoreView } from '../wire.gen';
import { capital } from '../words';
import { ColourRule } from './ColourRule';

/** Pixels of a bar at first on a phone; the closest and the widest. */
const BAR_PX = 34;
const MOST_PX = 140;
const LEAST_PX = 2;
/** From here on beats are drawn. */
const BEAT_PX = 9;
/** Bars are numbered so far apart, pixels. */
const NUMBER_PX = 34;
/** A hand on the picture is left alone for so long. */
const HAND_MS = 3000;
/** Values of the outline for each second. */
const OUTLINE = 20;

/** The picture of a score: its sound, bars and sections, what is on under it, and where it is. */
export function Timeline(props: { score: ScoreView }) {
  let box!: HTMLDivElement;
  let now!: HTMLElement;
  const [width, setWidth] = createSignal(300);
  /** Pixels a second; none: all of it at once. */
  const [near, setNear] = createSignal<number | null>(null);
  const whole = () => width() / Math.max(1, props.score.length_s);
  const barSecs = () => {
    const { bars, length_s } = props.score;
    return bars.length > 1 ? (bars.at(-1)! - bars[0]!) / (bars.length - 1) : length_s / 8;
  };
  const scale = () => Math.max(whole(), near() ?? whole());
  const x = (secs: number) => secs * scale();

  onMount(() => {
    const watch = new ResizeObserver(() => setWidth(box.clientWidth));
    watch.observe(box);
    setWidth(box.clientWidth);
    if (folded()) setNear(BAR_PX / barSecs());
    let handAt = -Infinity;
    const hand = () => (handAt = performance.now());
    for (const what of ['pointerdown', 'wheel', 'touchmove'] as const) box.addEventListener(what, hand, { passive: true });
    let frame = 0;
    const draw = () => {
      const at = x(placeNow());
      now.style.transform = `translateX(${at.toFixed(1)}px)`;
      if (playing() && performance.now() - handAt > HAND_MS) {
        const to = at - box.clientWidth * 0.35;
        if (Math.abs(box.scrollLeft - to) > 1) box.scrollLeft = to;
      }
      frame = requestAnimationFrame(draw);
    };
    draw();
    onCleanup(() => {
      watch.disconnect();
      cancelAnimationFrame(frame);
    });
  });
  // What is looked at stays in the middle.
  const zoom = (times: number) => {
    const middle = (box.scrollLeft + box.clientWidth / 2) / scale();
    setNear(Math.min(MOST_PX / barSecs(), Math.max(LEAST_PX / barSecs(), scale() * times)));
    queueMicrotask(() => (box.scrollLeft = middle * scale() - box.clientWidth / 2));
  };
  // A part that is chosen comes into sight.
  createEffect(
    on(chosen, (number) => {
      const part = props.score.parts.find((one) => one.part === number);
      if (!part || playing()) return;
      const [from, to] = [box.scrollLeft, box.scrollLeft + box.clientWidth - 80];
      if (x(part.at_s) < from || x(part.at_s) > to) box.scrollLeft = x(part.at_s) - 40;
    }),
  );

  return (
    <section class="timeline" aria-label="Timeline">
      <div class="timeline-box" ref={box}>
        <div class="timeline-sheet" style={{ width: `${x(props.score.length_s)}px` }}>
          <Sections score={props.score} x={x} />
          <Sound score={props.score} x={x} />
          <Parts score={props.score} x={x} scale={scale} />
          <i class="timeline-now" ref={(element) => (now = element)} />
        </div>
      </div>
      <div class="timeline-zoom" role="group" aria-label="How near">
        <button type="button" class="handle act" aria-pressed={near() === null} onClick={() => setNear(null)}>
          All of it
        </button>
        <button type="button" class="handle act" onClick={() => zoom(1.6)}>
          Nearer
        </button>
        <button type="button" class="handle act" aria-disabled={scale() <= whole()} onClick={() => zoom(1 / 1.6)}>
          Wider
        </button>
      </div>
    </section>
  );
}

type Drawn = { score: ScoreView; x: (secs: number) => number };

/** Names of sections, each from its line on. */
function Sections(props: Drawn) {
  const end = (at: number) => props.score.lines[at + 1]?.at_s ?? props.score.length_s;
  return (
    <div class="timeline-lines" aria-hidden="true">
      <Index each={props.score.lines}>
        {(line, at) => (
          <span class={`kind-${line().kind}`} style={{ left: `${props.x(line().at_s)}px`, width: `${props.x(end(at)) - props.x(line().at_s)}px`, '--energy': line().energy ?? 0.5 }}>
            <b>{line().name}</b>
          </span>
        )}
      </Index>
    </div>
  );
}

/** The sound with its bars; a press there goes to that place. */
function Sound(props: Drawn) {
  const shape = createMemo(() => {
    const values = peaks();
    if (values.length === 0) return '';
    const upper = values.map((peak, at) => `${at},${(1 - peak / 255).toFixed(3)}`);
    const lower = values.map((peak, at) => `${at},${(1 + peak / 255).toFixed(3)}`).reverse();
    return `M${upper.join('L')}L${lower.join('L')}Z`;
  });
  const { score } = props;
  const barPx = () => (props.score.bars.length > 1 ? props.x(props.score.bars.at(-1)! - props.score.bars[0]!) / (props.score.bars.length - 1) : 100);
  const every = () => [1, 2, 4, 8, 16, 32].find((bars) => bars * barPx() >= NUMBER_PX) ?? 64;
  const strokes = createMemo(() => {
    const bars: string[] = [];
    const beats: string[] = [];
    const thin = [1, 2, 4, 8].find((bars) => bars * barPx() >= 5) ?? 16;
    props.score.bars.forEach((begin, at) => {
      if (at % thin === 0) bars.push(`M${props.x(begin).toFixed(1)} 0V56`);
      const of = props.score.beats[at] ?? 0;
      const next = props.score.bars[at + 1];
      if (next === undefined || of < 2 || props.x(next - begin) / of < BEAT_PX) return;
      for (let beat = 1; beat < of; beat += 1) beats.push(`M${props.x(begin + ((next - begin) * beat) / of).toFixed(1)} 57V62`);
    });
    return { bars: bars.join(''), beats: beats.join('') };
  });
  const numbers = createMemo(() => props.score.bars.slice(0, -1).flatMap((begin, at) => (at % every() === 0 ? [{ begin, bar: at + 1 }] : [])));
  const [at, setAt] = createSignal(placeNow());
  // Told now and then: a figure that changes all the time would be read out all the time.
  const timer = setInterval(() => setAt(placeNow()), 500);
  onCleanup(() => clearInterval(timer));
  const onKey = (event: KeyboardEvent) => {
    const bars: Record<string, number> = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1, PageDown: -8, PageUp: 8 };
    const by = bars[event.key];
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    if (by !== undefined) seekBars(by);
    else if (event.key === 'Home') seek(0);
    else if (event.key === 'End') seek(props.score.length_s);
    else return;
    event.preventDefault();
    setAt(placeNow());
  };
  return (
    <div
      class="timeline-sound"
      role="slider"
      tabindex="0"
      aria-label="Place in the track"
      aria-valuemin="0"
      aria-valuemax={Math.round(props.score.length_s)}
      aria-valuenow={Math.round(at())}
      aria-valuetext={sayPlace(props.score, at())}
      onClick={(event) => {
        const left = event.currentTarget.getBoundingClientRect().left;
        seek(((event.clientX - left) / Math.max(1, props.x(score.length_s))) * score.length_s);
        setAt(placeNow());
      }}
      onKeyDown={onKey}
    >
      <svg class="timeline-shape" viewBox={`0 0 ${Math.max(1, props.score.length_s * OUTLINE)} 2`} preserveAspectRatio="none" aria-hidden="true">
        <path d={shape()} />
      </svg>
      <svg class="timeline-strokes" width={props.x(props.score.length_s)} height="64" aria-hidden="true">
        <path class="beats" d={strokes().beats} />
        <path class="bars" d={strokes().bars} />
      </svg>
      <div class="timeline-numbers fact" aria-hidden="true">
        <For each={numbers()}>{({ begin, bar }) => <span style={{ left: `${props.x(begin)}px` }}>{bar}</span>}</For>
      </div>
    </div>
  );
}

/** A place in words: 'bar 17 of 64, 0:32'. */
export function sayPlace(score: ScoreView, at: number): string {
  const bar = barAt(score, at + 0.02);
  const time = `${Math.floor(at / 60)}:${String(Math.floor(at % 60)).padStart(2, '0')}`;
  return bar > 0 ? `bar ${bar} of ${score.bars.length - 1}, ${time}` : time;
}

/** What is on: each part from its bar to the next, dark marks before those that ask for it. */
function Parts(props: Drawn & { scale: () => number }) {
  const end = (at: number) => props.score.parts[at + 1]?.dark_s ?? props.score.length_s;
  return (
    <div class="timeline-parts" role="group" aria-label="Parts">
      <Index each={props.score.parts}>
        {(part, at) => (
          <>
            <Show when={part().dark_s < part().at_s}>
              <i class="timeline-dark" style={{ left: `${props.x(part().dark_s)}px`, width: `${Math.max(4, props.x(part().at_s - part().dark_s))}px` }} />
            </Show>
            <button
              type="button"
              class="timeline-part"
              classList={{ chosen: chosen() === part().part }}
              data-part={part().part}
              style={{ left: `${props.x(part().at_s)}px`, width: `${Math.max(14, props.x(Math.max(0.1, end(at) - part().at_s)) - 2)}px` }}
              aria-pressed={chosen() === part().part}
              aria-label={sayPart(part())}
              onClick={() => setChosen(chosen() === part().part ? null : part().part)}
            >
              <ColourRule colours={part().colours} />
              <b>{capital(part().look ?? 'as it is')}</b>{' '}
              <span class="fact">{part().chases.map(capital).join(', ')}</span>
            </button>
            <Show when={chosen() === part().part && canMake()}>
              <Grip part={part()} score={props.score} x={props.x} scale={props.scale} />
            </Show>
          </>
        )}
      </Index>
    </div>
  );
}

/** A part in words: 'Bar 17: Crossed, Reel, dark before it'. */
export function sayPart(part: ScorePartView): string {
  const chases = part.chases.length > 0 ? `, ${part.chases.map(capital).join(', ')}` : '';
  return `${capital(part.place)}: ${capital(part.look ?? 'as it is')}${chases}${part.dark_s < part.at_s ? ', dark before it' : ''}`;
}

/** What the chosen part is moved by: dragged to another bar, or with the arrows. */
function Grip(props: Drawn & { part: ScorePartView; scale: () => number }) {
  const [to, setTo] = createSignal<number | null>(null);
  const at = () => (to() === null ? props.part.at_s : (props.score.bars[to()! - 1] ?? props.part.at_s));
  let from = 0;
  const onDown = (event: PointerEvent & { currentTarget: HTMLElement }) => {
    if (event.button !== 0 || props.score.bars.length < 2) return;
    event.currentTarget.setPointerCapture(event.pointerId);
    from = event.clientX;
    setTo(nearestBar(props.score, props.part.at_s));
  };
  const onMove = (event: PointerEvent) => {
    if (to() !== null) setTo(nearestBar(props.score, props.part.at_s + (event.clientX - from) / props.scale()));
  };
  const onUp = () => {
    const bar = to();
    setTo(null);
    if (bar !== null && bar !== nearestBar(props.score, props.part.at_s)) moveToBar(props.part, bar);
  };
  const onKey = (event: KeyboardEvent) => {
    const by = event.key === 'ArrowLeft' ? -1 : event.key === 'ArrowRight' ? 1 : 0;
    if (by === 0) return;
    event.preventDefault();
    movePart(props.part, event.shiftKey ? 8 * by : by);
  };
  return (
    <span
      class="timeline-grip"
      classList={{ dragged: to() !== null }}
      style={{ left: `${props.x(at())}px` }}
      role="slider"
      tabindex="0"
      aria-label="Where this part begins, by bars"
      aria-valuemin="1"
      aria-valuemax={Math.max(1, props.score.bars.length - 1)}
      aria-valuenow={nearestBar(props.score, props.part.at_s)}
      aria-valuetext={props.part.place}
      onPointerDown={onDown}
      onPointerMove={onMove}
      onPointerUp={onUp}
      onPointerCancel={() => setTo(null)}
      onKeyDown={onKey}
    >
      <Show when={to() !== null}>
        <span class="fact">bar {to()}</span>
      </Show>
    </span>
  );
}
