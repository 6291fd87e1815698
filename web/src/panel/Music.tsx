import { createMemo, createSignal, For, onMount, Show, type JSX } from 'solid-js';
import { may } from '../door';
import { canMake, change } from '../making';
import { shortcuts } from '../mykeys';
import {
  clockWrong, earlier, EARLIER_MS, hears, holdOrFollow, input, inputs, listenHere, listenToClock, listenToNothing, midiClock, music, pickOrLeave, placeInBar, setRange, thisIsOne,
  timesTempo, whyNoSound, wrong,
} from '../music';
import { now, over, scene, setOver, up } from '../state';
import type { MusicNow } from '../wire.gen';
import { capital, count, percent, tempo } from '../words';
import { ScoreList } from './Score';
import { Tap } from './Tap';

/** The quietest that the meter shows, dB below full scale. */
const QUIET_DB = -60;

/** The music: what is heard of it, the hand on it, and where it comes from. */
export function Music() {
  let title!: HTMLHeadingElement;
  onMount(() => title.focus({ preventScroll: true }));
  return (
    <section class="music" aria-label="Music">
      <h1 class="title" ref={title} tabindex="-1">
        Music
      </h1>
      <Show when={music()}>
        {(it) => (
          <>
            <p class="saying small music-says" role="status">
              {it().says}
            </p>
            <p class="saying small soft music-next">{capital(it().next) || '\u00a0'}</p>
            <div class="music-hand" role="group" aria-label="Tempo and bar">
              <Tap />
              <Hand it={it()} />
            </div>
            <Show when={it().source}>
              <Heard it={it()} />
            </Show>
            <Picks it={it()} />
            <ScoreList />
            <Sources it={it()} />
            <Range it={it()} />
          </>
        )}
      </Show>
      <div class="acts">
        <button type="button" class="key" onClick={() => setOver(null)}>
          Close the music
        </button>
      </div>
    </section>
  );
}

/** What a hand may do at any time. It wins. */
function Hand(props: { it: MusicNow }) {
  return (
    <div class="music-keys">
      <Key id="hold" press={holdOrFollow} pressed={!props.it.follow}>
        {props.it.follow ? 'Hold' : 'Follow'}
      </Key>
      <Key id="one" press={thisIsOne}>
        This is one
      </Key>
      <Key id="half" press={() => timesTempo(0.5)}>
        Half
      </Key>
      <Key id="double" press={() => timesTempo(2)}>
        Double
      </Key>
      <Key id="later" press={() => earlier(-EARLIER_MS)}>
        Later
      </Key>
      <Key id="earlier" press={() => earlier(EARLIER_MS)}>
        Earlier
      </Key>
      <p class="fact music-moved">{sayMoved(props.it.earlier_ms)}</p>
    </div>
  );
}

function sayMoved(ms: number): string {
  if (Math.abs(ms) < 0.5) return `Earlier and Later move all steps by ${EARLIER_MS} ms.`;
  return `All steps come ${count(Math.abs(ms))} ms ${ms > 0 ? 'earlier' : 'later'}.`;
}

function Key(props: { id: string; press: () => unknown; pressed?: boolean; children: JSX.Element }) {
  return (
    <button type="button" class="key" data-music={props.id} aria-pressed={props.pressed} aria-keyshortcuts={shortcuts(`music_${props.id}`) ?? shortcuts(props.id)} aria-disabled={!up() || !may('run')} onClick={() => props.press()}>
      {props.children}
    </button>
  );
}

/** What is heard: the music's own tempo, how sure it is, level and delay. */
function Heard(props: { it: MusicNow }) {
  const height = (db: number | null) => (db === null ? 0 : Math.max(0, Math.min(1, 1 - db / QUIET_DB)));
  const facts = createMemo(() => {
    const it = props.it;
    return [
      ...(it.bpm === null ? [] : [`The music goes at ${tempo(it.bpm)} a minute${timesWords(it.times)}.`]),
      ...(it.heard ? [`Sure of the beat: ${percent(it.sure)}, of the bar: ${percent(it.bar_sure)}.`] : []),
      ...(it.delay_ms === null ? [] : [`The sound comes in about ${count(it.delay_ms)} ms late.`]),
      ...(it.gaps > 0 ? [`${count(it.gaps)} ${it.gaps === 1 ? 'hole' : 'holes'} in it so far.`] : []),
    ];
  });
  return (
    <div class="music-heard">
      <Show when={props.it.level_db !== null}>
        <div class="meter" classList={{ clips: props.it.clips }} role="img" aria-label={`Level ${count(props.it.level_db ?? QUIET_DB)} dB`}>
          <i style={{ transform: `scaleX(${height(props.it.level_db)})` }} />
          <b style={{ left: `${height(props.it.peak_db) * 100}%` }} />
        </div>
        <p class="fact">
          {count(props.it.level_db ?? QUIET_DB)} dB
          <Show when={props.it.clips}>
            <strong class="bright"> Too loud: turn the input down.</strong>
          </Show>
        </p>
      </Show>
      <Show when={props.it.level_db !== null}>
        <div class="bands" aria-hidden="true">
          <For each={['low', 'middle', 'high']}>
            {(word, at) => (
              <span>
                <i style={{ transform: `scaleX(${props.it.bands[at()] ?? 0})` }} /> <span class="fact">{word}</span>
              </span>
            )}
          </For>
        </div>
      </Show>
      <For each={facts()}>{(words) => <p class="fact">{words}</p>}</For>
    </div>
  );
}

function timesWords(times: number): string {
  if (Math.abs(times - 1) < 1e-6) return '';
  const words: Record<string, string> = { '0.5': 'half of it', '0.25': 'a quarter of it', '2': 'double that', '4': 'four times that' };
  return `; lights go at ${words[String(times)] ?? `${times} times that`}`;
}

const MOODS = ['calm', 'groove', 'peak'] as const;
const MOOD_IS: Record<string, string> = { calm: 'Calm', groove: 'It goes along', peak: 'At its peak' };

/** Looks that the music picks. */
function Picks(props: { it: MusicNow }) {
  const [open, setOpen] = createSignal<number | null>(null);
  const looks = (at: number) => scene()?.moods[at] ?? [];
  const none = () => MOODS.every((_, at) => looks(at).length === 0);
  const stands = () => {
    const { picks, mood, line_bars } = props.it;
    if (!picks) return none() ? 'Choose looks for its moods first.' : 'Looks stay as they are.';
    const next = line_bars === null || !props.it.sets ? '' : `; the next phrase begins in ${count(line_bars)} ${line_bars === 1 ? 'bar' : 'bars'}`;
    return `${mood === null ? 'It waits for the music' : MOOD_IS[mood]}${next}.`;
  };
  const toggle = (at: number, look: string) => {
    const next = looks(at).includes(look) ? looks(at).filter((one) => one !== look) : [...looks(at), look];
    change({ type: 'music_set', field: MOODS[at]!, value: next.length === 0 ? null : next });
  };
  return (
    <section class="music-picks" aria-label="Looks by the music">
      <h2 class="section">Looks by the music</h2>
      <div class="acts">
        <Key id="pick" press={() => (props.it.picks || !none()) && pickOrLeave()} pressed={props.it.picks}>
          Let the music pick
        </Key>
      </div>
      <p class="fact">{stands()}</p>
      <Show when={props.it.energy !== null}>
        <div class="energy" role="img" aria-label={`${percent(props.it.energy ?? 0)} of the most that it had`}>
          <i style={{ transform: `scaleX(${props.it.energy ?? 0})` }} />
        </div>
      </Show>
      <For each={MOODS}>
        {(mood, at) => (
          <div class="mood" classList={{ on: props.it.picks && props.it.mood === mood }}>
            <p class="saying small">
              <button type="button" class="handle inline" data-mood={mood} aria-expanded={open() === at()} disabled={!canMake()} onClick={() => setOpen(open() === at() ? null : at())}>
                {capital(mood)}
              </button>
              : {looks(at()).map(capital).join(', ') || 'no looks'}
            </p>
            <Show when={open() === at() && canMake()}>
              <div class="choice-row" role="group" aria-label={`Looks for ${mood}`}>
                <For each={scene()?.looks ?? []}>
                  {(look) => (
                    <button type="button" class="choice" aria-pressed={looks(at()).includes(look.name)} onClick={() => toggle(at(), look.name)}>
                      {capital(look.name)}
                    </button>
                  )}
                </For>
              </div>
            </Show>
          </div>
        )}
      </For>
    </section>
  );
}

/** Where the music comes from. */
function Sources(props: { it: MusicNow }) {
  const here = () => hears() === 'yes';
  const can = () => may('run') && up();
  return (
    <div class="music-sources">
      <h2 class="section">Listen to</h2>
      <p class="saying small">
        <Show when={props.it.source} fallback="Nothing.">
          {(source) => capital(source().name)}
        </Show>
      </p>
      <div class="acts">
        <Show
          when={here() && inputs().length > 1}
          fallback={
            <button type="button" class="key" aria-disabled={!can() || hears() === 'asking' || here()} onClick={() => can() && !here() && void listenHere(null)}>
              A microphone or line in
            </button>
          }
        >
          <For each={inputs()}>
            {(one) => (
              <button type="button" class="key" aria-pressed={input() === one.id} aria-disabled={!can()} onClick={() => can() && void listenHere(one.id)}>
                {one.name}
              </button>
            )}
          </For>
        </Show>
        <button type="button" class="key" aria-disabled={!can() || midiClock() !== null} onClick={() => can() && void listenToClock()}>
          A MIDI clock
        </button>
        <button type="button" class="key" aria-disabled={!can() || !props.it.source} onClick={() => can() && listenToNothing()}>
          Off
        </button>
      </div>
      <p class="saying small bright" role="status">
        {wrong() || clockWrong() || (midiClock() && midiClock()?.name === null ? 'Waiting for a clock: start the player.' : '')}
      </p>
      <Show when={whyNoSound() && !wrong()}>
        <p class="saying small soft">{whyNoSound()}</p>
      </Show>
    </div>
  );
}

/** Slowest and fastest tempo that the music may set. */
function Range(props: { it: MusicNow }) {
  const typed = (at: 0 | 1) => (event: Event & { currentTarget: HTMLInputElement }) => {
    const bpm = event.currentTarget.valueAsNumber;
    if (Number.isFinite(bpm) && event.currentTarget.validity.valid) {
      // The other end goes along, so that any tempo has a place.
      if (at === 0) setRange(bpm, Math.max(props.it.range[1], 2 * bpm));
      else setRange(Math.min(props.it.range[0], bpm / 2), bpm);
    }
    event.currentTarget.value = tempo(props.it.range[at]);
  };
  return (
    <div class="music-range">
      <h2 class="section">Its tempo</h2>
      <label class="typed">
        <span class="fact">from</span>
        <input type="number" min="30" max="120" step="any" aria-label="Slowest tempo, beats a minute" value={tempo(props.it.range[0])} onChange={typed(0)} disabled={!may('run')} />
      </label>
      <label class="typed">
        <span class="fact">to</span>
        <input type="number" min="60" max="240" step="any" aria-label="Fastest tempo, beats a minute" value={tempo(props.it.range[1])} onChange={typed(1)} disabled={!may('run')} />
      </label>
      <p class="fact">Music outside is followed at half, double and so on; the fastest is twice the slowest or more.</p>
    </div>
  );
}

/** The word that opens the panel, with how it stands. */
export function MusicWord() {
  const it = () => music();
  const says = () => {
    const is = it();
    if (!is?.source) return 'nothing is listened to';
    if (is.lost) return 'lost, held';
    if (!is.follow) return 'in your hand';
    if (!is.sets) return 'no beat, held';
    return `on the beat, ${placeInBar().place} of ${placeInBar().of}`;
  };
  return (
    <button type="button" class="music-word" aria-keyshortcuts={shortcuts('music')} aria-expanded={over() === 'music'} onClick={() => setOver(over() === 'music' ? null : 'music')}>
      <span class="word-name">Music</span>{' '}
      <span class="fact" classList={{ bright: it()?.sets ?? false }}>
        <span aria-hidden="true">{says()}</span>
      </span>
    </button>
  );
}

/** The handle in rows of facts. */
export function MusicHandle() {
  return (
    <button type="button" class="handle inline" aria-keyshortcuts={shortcuts('music')} aria-expanded={over() === 'music'} onClick={() => setOver(over() === 'music' ? null : 'music')}>
      Music{music()?.sets ? `, ${tempo(now.tempo_bpm)}` : ''}
    </button>
  );
}
