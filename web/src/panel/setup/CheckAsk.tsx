import { createEffect, Index, on, Show } from 'solid-js';
import { backOne, cannotSay, check, endCheck, otherwise, question, say, seenOf, sendAnswer, tapped } from '../../setup';
import { onlyStandIn } from '../../sight';
import { setSetUp, up } from '../../state';
import type { AskedLight, QuestionView, SeenName } from '../../wire.gen';
import { Great } from '../Sight';
import { toTop } from './SetUp';

/** What a light does, as short as it goes. */
const WORDS: Record<SeenName, string> = {
  dark: 'dark',
  white: 'white',
  odd: 'otherwise',
  flickers: 'flickers',
  still: 'stands',
  left: 'left',
  right: 'right',
  away: 'away',
  towards: 'to you',
  powered: 'lit',
  unpowered: 'nothing lit',
};

/** One question of the line check: its words, what each light does, what that would mean, and the answer. */
export function CheckAsk() {
  const it = () => question() as QuestionView;
  createEffect(on(() => `${check()?.answered} ${it()?.words}`, toTop));
  const only = () => (it().about.length === 1 ? it().lights.find((light) => light.unit === it().about[0]) : undefined);
  return (
    <div class="sight check">
      <div class="sight-words">
        <p class="label">Line check, question {(check()?.answered ?? 0) + 1}</p>
        <div aria-live="polite">
          <h1 class="title">{it().words}</h1>
        </div>
        <p class="saying small soft">
          {help(it())} <Show when={!onlyStandIn()}>Watch the lights in the room itself.</Show>
        </p>
        <Show when={check()?.says}>{(says) => <p class="saying small bright">{says()}</p>}</Show>
        <Show when={only()}>{(light) => <Sentences light={light()} kind={it().kind} />}</Show>
        <Show when={it().kind !== 'power'}>
          <ol class="check-lights" aria-label="What each light does">
            <Index each={it().lights}>{(light) => <Light light={light()} meant={it().about.includes(light().unit)} />}</Index>
          </ol>
        </Show>
        <Likeliest />
        <p class="set-up-more">
          <Show when={(check()?.answered ?? 0) > 0}>
            <button type="button" class="handle" aria-disabled={!up()} onClick={backOne}>
              Take answer {check()?.answered} back
            </button>
          </Show>
          <button type="button" class="handle" aria-disabled={!up()} onClick={cannotSay}>
            Cannot say
          </button>
          <button type="button" class="handle" aria-disabled={!up()} onClick={() => endCheck()}>
            Done
          </button>
          <button type="button" class="handle" onClick={() => setSetUp('lights')}>
            The lights’ cards
          </button>
        </p>
        <p class="fact caution">
          See that nobody looks into a light or stands where a head can swing. Light comes and goes slowly; the lights are in hand until
          you are done.
        </p>
      </div>
      <Show
        when={it().kind !== 'power'}
        fallback={<Great words="Yes, lit" press={() => sendAnswer()} beside={{ words: 'No', press: () => nothingLit(it()) }} />}
      >
        <Great
          words={otherwise() === 0 ? 'All as they should' : 'That is what I see'}
          fact={otherwise() === 0 ? 'no light does anything else' : otherwise() === 1 ? 'one light does otherwise' : `${otherwise()} lights do otherwise`}
          press={() => sendAnswer()}
        />
      </Show>
    </div>
  );
}

function help(question: QuestionView): string {
  if (question.kind === 'lit') return 'Tap each light that does something else, until the word under its number is right.';
  if (question.kind === 'swing') return 'They swing lit, and come back dark, again and again. Tap each that goes another way.';
  return 'Go and look at the light itself. A display, or a lamp that shows power, is enough.';
}

function nothingLit(question: QuestionView): void {
  const light = question.lights[0];
  if (!light) return;
  say(light, 'unpowered');
  sendAnswer();
}

/** A light as a large key: a tap says the next of what it may do. */
function Light(props: { light: AskedLight; meant: boolean }) {
  const seen = () => seenOf(props.light);
  return (
    <li>
      <button
        type="button"
        class="check-light"
        classList={{ meant: props.meant, otherwise: seen() !== props.light.expected, lit: seen() !== 'dark' && seen() !== 'still' }}
        data-light={props.light.unit}
        data-seen={seen()}
        title={props.light.place}
        aria-disabled={!up()}
        onClick={() => tapped(props.light.unit)}
      >
        <b>{props.light.unit}</b> <span>{WORDS[seen()]}</span>
      </button>
    </li>
  );
}

/** Of one light alone the answer is a sentence. */
function Sentences(props: { light: AskedLight; kind: string }) {
  const just = (seen: SeenName) => {
    say(props.light, seen);
    sendAnswer();
  };
  return (
    <Show when={props.kind === 'lit'}>
      <ul class="plain check-answers">
        <li>
          <button type="button" class="check-answer" aria-disabled={!up()} onClick={() => just('white')}>
            Light {props.light.unit} alone is white
          </button>
        </li>
        <li>
          <button type="button" class="check-answer" aria-disabled={!up()} onClick={() => just('dark')}>
            Nothing is lit <span class="fact">likeliest: its power, its cable, its address</span>
          </button>
        </li>
        <li>
          <button type="button" class="check-answer" aria-disabled={!up()} onClick={() => just('odd')}>
            It is lit, but in another colour, flashing, or moving <span class="fact">likeliest: its mode</span>
          </button>
        </li>
        <li class="check-or">
          <button type="button" class="handle" onClick={() => say(props.light, 'dark')}>
            Another light is: tap it below
          </button>
          <button type="button" class="handle" onClick={() => say(props.light, 'white')}>
            It and another: tap the other
          </button>
        </li>
      </ul>
    </Show>
  );
}

/** What is likeliest after what was answered so far. */
function Likeliest() {
  const first = () => check()?.causes[0];
  const more = () => (check()?.causes.length ?? 0) - 1;
  return (
    <Show when={first()}>
      {(cause) => (
        <div class="check-likely">
          <p class="saying small">
            <b>{cause().sure ? 'So far: ' : 'Perhaps: '}</b>
            {cause().says} <Show when={cause().sure}>{cause().remedy}</Show>
          </p>
          <Show when={more() > 0}>
            <p class="fact">
              and {more()} more; they are listed when you are done
            </p>
          </Show>
        </div>
      )}
    </Show>
  );
}
