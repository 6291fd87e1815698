import { createEffect, createMemo, createSignal, For, onCleanup, onMount, Show } from 'solid-js';
import { takeCue } from '../act';
import { now, scene, setStage, taken, up } from '../state';
import { capital, clock, count } from '../words';
import type { CueView } from '../wire.gen';
import { folded, low } from '../fold';
import { Go } from './Go';
import { NextUp } from './NextUp';
import { NowOn } from './NowOn';

/** Past and later cues that stand on the page at most; the rest are in the cue list. */
const MOST = 3;
const ROW_PX = 44;

/** The evening as a programme: what went, now, next with Go under it, and what is to come. */
export function Evening() {
  // A change elsewhere in the show leaves the rows as they are.
  const list = createMemo(() => scene()?.cues);
  const cues = createMemo(() => list()?.map((cue, index) => ({ cue, index })) ?? []);
  const past = () => cues().slice(0, now.cue ?? 0);
  const later = () => (now.next_cue === null ? [] : cues().slice(Math.max(now.next_cue, now.cue ?? -1) + 1));

  // Now, Next and Go come first; the rows around them take what height is left.
  const [room, setRoom] = createSignal(2 * MOST + 2);
  const rows = () => shareRows(room(), past().length, later().length);
  let page!: HTMLDivElement;
  let middle!: HTMLDivElement;
  onMount(() => {
    const column = page.parentElement;
    if (!column) return;
    const measure = () => {
      const free = column.clientHeight - middle.offsetHeight - MARGINS_PX;
      setRoom(folded() ? 2 * MOST + 2 : Math.max(0, Math.floor(free / ROW_PX)));
    };
    const watch = new ResizeObserver(measure);
    watch.observe(column);
    watch.observe(middle);
    onCleanup(() => watch.disconnect());
    // On the phone, what went is above the fold: the page opens, and moves on, at Now.
    createEffect(() => {
      if (now.cue !== null && folded()) requestAnimationFrame(() => (column.scrollTop = middle.offsetTop));
    });
  });

  return (
    <div class="evening" ref={page}>
      <Show when={rows().earlier}>
        <More count={past().length - rows().past} words="earlier" />
      </Show>
      <For each={rows().past > 0 ? past().slice(-rows().past) : []}>{(row) => <Row cue={row.cue} index={row.index} gone />}</For>
      <div class="evening-middle" ref={middle}>
        <div class="evening-now">
          <Show when={now.cue !== null && taken[now.cue]}>{(time) => <time class="hour bright">{clock(time())}</time>}</Show>
          <NowOn brief={folded() || low()} strokes />
        </div>
        <div class="evening-next">
          <NextUp id="next-words" />
          <Show when={cues().length > 0}>
            <Go describedBy="next-words" hint />
          </Show>
        </div>
      </div>
      <For each={later().slice(0, rows().later)}>{(row) => <Row cue={row.cue} index={row.index} />}</For>
      <Show when={rows().more}>
        <More count={later().length - rows().later} words="more" />
      </Show>
    </div>
  );
}

/** Padding of the column and margins round Now and Next. */
const MARGINS_PX = 76;

/** Shares rows between what went and what comes; a row that only counts the rest comes last of all. */
function shareRows(room: number, past: number, later: number) {
  let shownPast = Math.min(past, MOST, Math.ceil(room / 2));
  const shownLater = Math.min(later, MOST, room - shownPast);
  shownPast = Math.min(past, MOST, room - shownLater);
  let left = room - shownPast - shownLater;
  const more = later > shownLater && left > 0;
  if (more) left -= 1;
  return { past: shownPast, later: shownLater, more, earlier: past > shownPast && left > 0 };
}

function Row(props: { cue: CueView; index: number; gone?: boolean }) {
  return (
    <button type="button" class="row" classList={{ gone: props.gone }} aria-disabled={!up()} onClick={() => takeCue(props.index)}>
      <span class="hour">
        <Show when={props.gone && taken[props.index]}>{(time) => clock(time())}</Show>
      </span>
      <span class="row-name">{capital(props.cue.name)}</span>
    </button>
  );
}

function More(props: { count: number; words: string }) {
  return (
    <Show when={props.count > 0}>
      <button type="button" class="row more" onClick={() => setStage('cues')}>
        <span class="hour" />
        <span class="row-name">
          {count(props.count)} {props.words}
        </span>
      </button>
    </Show>
  );
}
