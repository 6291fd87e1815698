import { createSignal, For, onCleanup, onMount, Show } from 'solid-js';
import { may } from '../door';
import { folded } from '../fold';
import { canMake, field } from '../making';
import { shortcuts } from '../mykeys';
import { addPartHere, chosen, how, loading, movePart, openScore, part, placeNow, playing, playOrPause, playSilently, removePart, removeScore, renameScore, score, scores, setChosen, setPart, wrong } from '../score';
import { moment, scene, setOver, up } from '../state';
import type { ScorePartView, ScoreView } from '../wire.gen';
import { capital, seconds } from '../words';
import { Act } from './make/Acts';
import { LookChoices } from './make/LookChoices';
import { NameEditor } from './make/NameEditor';
import { Choice, Editor, Opens } from './make/Opens';
import { TimeEditor } from './make/TimeEditor';
import { Typed } from './make/Typed';
import { sayPlace, Timeline } from './Timeline';

const NONE = 'none';
/** The open word that is the score's own name. */
const NAME = 'score name';

/** A scored track: playing it, and the part of it that is chosen. */
export function Score() {
  let title!: HTMLHeadingElement;
  onMount(() => title.focus({ preventScroll: true }));
  return (
    <section class="score" aria-label="Scored track">
      <h1 class="subtitle score-title" ref={title} tabindex="-1">
        <Show when={canMake() && score()} fallback={capital(score()?.name ?? 'No track is scored yet')}>
          {(open) => <Opens field={NAME}>{capital(open().name)}</Opens>}
        </Show>
      </h1>
      <Show when={field() === NAME}>
        <NameEditor key={NAME} name={score()?.name ?? ''} take={renameScore} />
        <div class="acts">
          <Act press={removeScore}>Take it out of the show</Act>
        </div>
      </Show>
      <Show when={score()} fallback={<p class="saying small soft">At the machine, `lanthorn score SONG.flac --show THIS.show.toml` listens to a song and lays a first score over it, from this show's own looks.</p>}>
        {(open) => (
          <>
            <Show when={folded()}>
              <Timeline score={open()} />
            </Show>
            <Transport score={open()} />
            <Show when={part()} fallback={<p class="saying small soft">Choose a part in the timeline to change it.</p>}>
              {(one) => <Part score={open()} part={one()} />}
            </Show>
            <Others open={open()} />
          </>
        )}
      </Show>
      <div class="acts">
        <button type="button" class="key" onClick={() => setOver(null)}>
          Close the track
        </button>
      </div>
    </section>
  );
}

/** Play and pause, with where it is. */
function Transport(props: { score: ScoreView }) {
  const [at, setAt] = createSignal(placeNow());
  const timer = setInterval(() => setAt(placeNow()), 200);
  onCleanup(() => clearInterval(timer));
  const can = () => up() && may('run');
  const says = () => {
    if (wrong()) return wrong();
    if (loading()) return 'The sound is on its way.';
    const words = { here: 'It plays here.', elsewhere: 'Another page plays it.', silent: 'It runs without sound.' };
    const standing = how();
    return `${standing ? words[standing] : 'It stands.'}${moment()?.score?.dark ? ' Dark before the next part.' : ''}`;
  };
  return (
    <>
      <p class="fact score-place">
        <b>{capital(sayPlace(props.score, at()))}</b> <span role="status">{says()}</span>
      </p>
      <div class="score-keys">
        <button type="button" class="key" data-score="play" aria-keyshortcuts={shortcuts('score_play')} aria-disabled={!can() || loading()} onClick={() => can() && playOrPause()}>
          {playing() ? 'Pause' : 'Play'}
        </button>
        <button type="button" class="key" data-score="silent" aria-disabled={!can() || playing()} onClick={() => can() && !playing() && playSilently()}>
          Without sound
        </button>
        <Show when={canMake()}>
          <button type="button" class="key" data-score="add" aria-disabled={!up()} onClick={() => up() && addPartHere()}>
            Add a part here
          </button>
        </Show>
      </div>
    </>
  );
}


/** The chosen part as a sentence, whose words are its editors. */
function Part(props: { score: ScoreView; part: ScorePartView }) {
  const key = (of: string) => `score ${props.part.part} ${of}`;
  const value = (of: keyof ScorePartView['values']) => {
    const found = props.part.values[of];
    return typeof found === 'string' ? found : typeof found === 'number' ? String(found) : null;
  };
  const chases = () => (Array.isArray(props.part.values.chases) ? (props.part.values.chases as string[]) : null);
  const line = () => props.score.lines.findLast((one) => one.at_s <= props.part.at_s + 0.02)?.name;
  const words = {
    look: () => value('look') ?? 'the look as it is',
    fade: () => (value('fade') && parseFloat(value('fade')!) > 0 ? `in ${value('fade')}` : 'at once'),
    chases: () => (chases() === null ? 'chases as they are' : chases()!.length === 0 ? 'no chase' : chases()!.map(capital).join(', ')),
    dark: () => (value('dark') ? `${value('dark')!.replace(/^1 (beat|bar)s$/, '1 $1')} of dark before it` : 'no dark before it'),
  };
  return (
    <div class="score-part">
      <p class="label">{line() ? capital(line()!) : 'A part'}</p>
      <Show when={canMake()} fallback={<p class="saying">{capital(props.part.place)}: {capital(words.look())} {words.fade()}, {words.chases()}, {words.dark()}.</p>}>
        <p class="saying">
          <Opens field={key('place')}>{capital(props.part.place)}</Opens>: <Opens field={key('look')}>{capital(words.look())}</Opens> <Opens field={key('fade')}>{words.fade()}</Opens>,{' '}
          <Opens field={key('chases')}>{words.chases()}</Opens>, <Opens field={key('dark')}>{words.dark()}</Opens>.
        </p>
      </Show>
      <Show when={props.part.why}>
        <p class="fact score-why">{props.part.why}</p>
      </Show>
      <PartEditors score={props.score} part={props.part} of={key} value={value} chases={chases} />
      <Show when={canMake()}>
        <div class="acts score-acts" role="group" aria-label="Move this part, or take it away">
          <For each={[-8, -1, 1, 8]}>
            {(by) => (
              <Act press={() => movePart(props.part, by)} label={`${Math.abs(by)} ${Math.abs(by) === 1 ? 'bar' : 'bars'} ${by < 0 ? 'earlier' : 'later'}`}>
                {by < 0 ? '−' : '+'}
                {Math.abs(by)} {Math.abs(by) === 1 ? 'bar' : 'bars'}
              </Act>
            )}
          </For>
          <Act press={() => removePart(props.part)}>Remove</Act>
          <Act press={() => setChosen(null)}>Close</Act>
        </div>
      </Show>
    </div>
  );
}

function PartEditors(props: { score: ScoreView; part: ScorePartView; of: (of: string) => string; value: (of: 'bar' | 'beat' | 'time' | 'look' | 'fade' | 'dark') => string | null; chases: () => string[] | null }) {
  const open = (of: string) => field() === props.of(of);
  const beats = () => Array.from({ length: Math.max(1, props.score.beats[Number(props.value('bar') ?? 1) - 1] ?? 1) }, (_, at) => at + 1);
  const number = (text: string) => (/^\d+$/.test(text) ? Number(text) : text);
  return (
    <>
      <Show when={open('place')}>
        <Editor label="Where it begins">
          <Typed key={props.of('bar')} label="bar" figures most={5} value={props.value('bar') ?? ''} take={(text, answer) => setPart(props.part, { bar: number(text), time: null }, answer)} />
          <Show when={props.value('bar')}>
            <div class="choice-row" role="group" aria-label="Beat">
              <span class="choice-word fact">on beat</span>
              <For each={beats()}>
                {(beat) => (
                  <Choice on={(props.value('beat') ?? '1') === String(beat)} press={() => setPart(props.part, { beat: beat === 1 ? null : beat })}>
                    {String(beat)}
                  </Choice>
                )}
              </For>
            </div>
          </Show>
          <Typed key={props.of('time')} label="or at" most={12} value={props.value('time') ?? ''} placeholder={`${props.part.at_s.toFixed(1)} s`} take={(text, answer) => setPart(props.part, { time: /^\d+(\.\d+)?$/.test(text) ? `${text} s` : text, bar: null, beat: null }, answer)} />
        </Editor>
      </Show>
      <Show when={open('look')}>
        <Editor label="Look">
          <Choice on={props.value('look') === null} press={() => setPart(props.part, { look: null })}>
            as it is
          </Choice>
          <LookChoices chosen={(name) => props.value('look') === name} press={(name) => setPart(props.part, { look: name })} />
        </Editor>
      </Show>
      <Show when={open('fade')}>
        <TimeEditor label="Fade" key={props.of('fade')} value={props.value('fade')} none="at once" usual={['0.5 s', '1 s', '2 s', '4 s', '8 s']} take={(value, answer) => setPart(props.part, { fade: value }, answer)} />
      </Show>
      <Show when={open('chases')}>
        <Editor label="Chases from here on">
          <Choice on={props.chases() === null} press={() => setPart(props.part, { chases: null })}>
            as they are
          </Choice>
          <Choice on={props.chases()?.length === 0} press={() => setPart(props.part, { chases: [] })}>
            {NONE}
          </Choice>
          <For each={scene()?.chases}>
            {(chase) => {
              const on = () => props.chases()?.includes(chase.name) ?? false;
              const other = () => (props.chases() ?? []).filter((name) => name !== chase.name);
              return (
                <Choice on={on()} press={() => setPart(props.part, { chases: on() ? other() : [...other(), chase.name] })}>
                  {capital(chase.name)}
                </Choice>
              );
            }}
          </For>
        </Editor>
      </Show>
      <Show when={open('dark')}>
        <TimeEditor label="Dark before it" key={props.of('dark')} value={props.value('dark')} none={NONE} usual={['0.5 beats', '1 beat', '2 beats', '4 beats']} take={(value, answer) => setPart(props.part, { dark: value }, answer)} />
      </Show>
    </>
  );
}

/** The other scored tracks of the show. */
function Others(props: { open: ScoreView }) {
  const others = () => scores().filter(({ name }) => name !== props.open.name);
  return (
    <Show when={others().length > 0 && chosen() === null}>
      <h2 class="section">Other tracks</h2>
      <div class="acts">
        <For each={others()}>
          {(one) => (
            <button type="button" class="handle act" onClick={() => openScore(one.name)}>
              {capital(one.name)}
            </button>
          )}
        </For>
      </div>
    </Show>
  );
}

/** The scored tracks, on the page of the music. */
export function ScoreList() {
  return (
    <Show when={scores().length > 0}>
      <div class="music-scores">
        <h2 class="section">Scored tracks</h2>
        <div class="acts">
          <For each={scores()}>
            {(one) => (
              <button type="button" class="key" data-open-score={one.name} onClick={() => openScore(one.name)}>
                {capital(one.name)} <span class="fact">{seconds(Math.round(one.length_s))}</span>
              </button>
            )}
          </For>
        </div>
      </div>
    </Show>
  );
}
