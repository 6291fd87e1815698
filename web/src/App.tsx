import { createEffect, createSignal, Match, on, onCleanup, Show, Switch } from 'solid-js';
import { beginning } from './begin';
import { charting } from './charts';
import { asked, refused } from './door';
import { folded } from './fold';
import { listen } from './listen';
import { canMake } from './making';
import { keysWrong } from './mykeys';
import { score } from './score';
import { calm, over, scene, setUpAt, sightAt, slipUnit, stage, theme, up } from './state';
import { Begin } from './panel/Begin';
import { Charting } from './panel/chart/Charting';
import { Chases } from './panel/Chases';
import { Cues } from './panel/Cues';
import { Evening } from './panel/Evening';
import { Clock, Foot, LinkWords } from './panel/Foot';
import { History } from './panel/History';
import { KeyList } from './panel/KeyList';
import { Looks } from './panel/Looks';
import { Music } from './panel/Music';
import { Pairing } from './panel/Pairing';
import { Picture } from './panel/Picture';
import { Rig } from './panel/Rig';
import { SetUp } from './panel/setup/SetUp';
import { Sight } from './panel/Sight';
import { Slip } from './panel/Slip';
import { RunningHead, StageList, StageRow } from './panel/Stages';
import { SaidLine, UndoRedo } from './panel/make/Undo';
import { StopKeys } from './panel/StopKeys';
import { Score } from './panel/Score';
import { Timeline } from './panel/Timeline';
import { Tonight } from './panel/Tonight';
import { capital } from './words';
import type { Insets } from './room/view';

/** The page, or what is asked of a browser that is not paired. */
export function App() {
  createEffect(() => (document.documentElement.dataset.theme = theme()));
  createEffect(() => (document.title = scene() ? `${capital(scene()!.show)}, Lanthorn` : 'Lanthorn'));
  return (
    <Show when={asked()} fallback={<Page />}>
      <Pairing />
    </Show>
  );
}

/** The whole page: stage words, the column, the room, the slip, and the foot with its three pills. */
function Page() {
  const [slipHeight, watchSlip] = heightOf();
  let column!: HTMLElement;
  onCleanup(listen());
  createEffect(() => (document.body.dataset.stage = charting() ? (charting()!.view === 'chart' ? 'chart' : 'channels') : setUpAt() ? (setUpAt() === 'check' ? 'check' : 'setup') : sightAt() ? 'sight' : stage()));
  createEffect(on([stage, over, sightAt, setUpAt, charting], () => (column.scrollTop = 0)));

  const slip = () => (sightAt() || setUpAt() || charting() ? undefined : slipUnit());
  /** On a laptop it lies under column and room. */
  const timeline = () => (over() === 'score' && !folded() ? score() : undefined);
  const insets = (): Insets => {
    if (folded() && setUpAt()) return { left: 0, top: 72, right: 0, bottom: 20 };
    if (folded() && sightAt()) return { left: 0, top: 36, right: 0, bottom: 44 };
    const top = canMake() && stage() !== 'room' ? 66 : 40;
    if (folded()) return stage() === 'tonight' ? { left: 0, top: 16, right: 0, bottom: slip() ? 8 : 48 } : { left: 0, top, right: 0, bottom: 8 };
    return { left: stage() === 'rig' ? 590 : 500, top: slip() ? slipHeight() + 32 : 56, right: stage() === 'rig' ? 10 : 0, bottom: timeline() ? 304 : 88 };
  };

  return (
    <div class="page" classList={{ lost: !up(), slipped: slip() !== undefined, scoring: timeline() !== undefined }}>
      <header class="head">
        <Show
          when={folded()}
          fallback={
            <>
              <StageRow />
              <UndoRedo />
            </>
          }
        >
          <RunningHead />
          <UndoRedo />
          <span class="head-facts fact">
            <Show when={up()} fallback={<LinkWords />}>
              <Clock />
            </Show>
          </span>
        </Show>
      </header>
      <main class="column" ref={column}>
        <FileWords />
        <Show when={scene()} fallback={<p class="saying soft">{up() ? 'The show is on its way.' : ''}</p>}>
          <Switch fallback={<StageColumn />}>
            <Match when={over() === 'keys'}>
              <KeyList />
            </Match>
            <Match when={over() === 'history'}>
              <History />
            </Match>
            <Match when={over() === 'music'}>
              <Music />
            </Match>
            <Match when={over() === 'score'}>
              <Score />
            </Match>
            <Match when={over() === 'stages' && folded()}>
              <StageList />
            </Match>
          </Switch>
        </Show>
      </main>
      <Show when={timeline()}>{(it) => <Timeline score={it()} />}</Show>
      <Picture insets={insets()} />
      <Show when={!sightAt() && !setUpAt() && !charting()}>
        <Slip onHeight={watchSlip} />
      </Show>
      <Show when={folded()}>
        <SaidLine />
      </Show>
      <footer class="foot">
        <Show when={!folded()}>
          <div class="foot-left">
            <Foot />
            <SaidLine />
          </div>
          <Clock />
        </Show>
        <StopKeys />
      </footer>
      <Show when={refused()}>
        <p class="refused" role="status">
          {refused()}
        </p>
      </Show>
    </div>
  );
}

/** What is to be known of the show's file, and of what this browser kept: changed by another program, or not to be read as it is. */
function FileWords() {
  const file = () => calm()?.file;
  return (
    <div role="status">
      <Show when={up() && file()}>
        {(it) => (
          <p class="saying small" classList={{ bright: it().wrong, soft: !it().wrong }}>
            {it().says}
          </p>
        )}
      </Show>
      <Show when={keysWrong()}>
        <p class="saying small bright keys-wrong">{keysWrong()} See Keys.</p>
      </Show>
    </div>
  );
}

function StageColumn() {
  return (
    <Switch>
      <Match when={setUpAt()}>
        <SetUp />
      </Match>
      <Match when={sightAt()}>
        <Sight />
      </Match>
      <Match when={beginning()}>
        <Begin />
      </Match>
      <Match when={charting()}>
        <Charting />
      </Match>
      <Match when={stage() === 'room'}>
        <Evening />
      </Match>
      <Match when={stage() === 'rig'}>
        <Rig />
      </Match>
      <Match when={stage() === 'looks'}>
        <Looks />
      </Match>
      <Match when={stage() === 'chases'}>
        <Chases />
      </Match>
      <Match when={stage() === 'cues'}>
        <Cues />
      </Match>
      <Match when={stage() === 'tonight'}>
        <Tonight />
      </Match>
    </Switch>
  );
}

/** The height of an element that comes and goes, pixels. */
function heightOf(): [() => number, (element: HTMLElement) => void] {
  const [height, set] = createSignal(0);
  const watch = new ResizeObserver((entries) => {
    const box = entries.at(-1)?.target;
    if (box?.isConnected) set(box.getBoundingClientRect().bottom);
  });
  onCleanup(() => watch.disconnect());
  return [
    height,
    (element) => {
      watch.disconnect();
      watch.observe(element);
    },
  ];
}
