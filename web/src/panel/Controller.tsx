import { For, onCleanup, Show } from 'solid-js';
import { may } from '../door';
import { ACTIONS } from '../keys';
import { boundWords, controllers, forget, learning, learnt, listening, listenToMidi, midiWrong, sayTarget, setLearning, waitingWords } from '../controller';
import { MASTER } from '../midi';
import { scene } from '../state';
import { capital } from '../words';

/** A MIDI controller: whether it is listened to, and what its controls do. */
export function Controller() {
  onCleanup(() => setLearning(null));
  return (
    <section class="controller" aria-labelledby="controller-title">
      <h2 class="key-part" id="controller-title">
        MIDI controller
      </h2>
      <Show
        when={listening() === 'on'}
        fallback={
          <>
            <p class="saying small soft">
              Pads, keys and faders of a controller plugged into this computer can do what the page does. The browser asks first; nothing is listened to before, and after each loading of the page it starts with this press.
            </p>
            <div class="acts">
              <button type="button" class="key" aria-disabled={listening() === 'asking'} onClick={() => void listenToMidi()}>
                Listen to a MIDI controller
              </button>
            </div>
          </>
        }
      >
        <Heard />
        <Show when={!may('run')}>
          <p class="saying small bright">This browser may only look on: a controller lights nothing either.</p>
        </Show>
        <p class="saying small soft">
          Choose a line, then press the pad or move the fader for it. A fader takes over the master only when it meets or passes its present level, so that nothing jumps.
        </p>
        <p class="saying small" role="status">
          {learnt()}
        </p>
        <Part words="Level" targets={[MASTER]} />
        <p class="saying small bright">{waitingWords()}</p>
        <Part words="Looks" targets={scene()?.looks.map((look) => `look ${look.name}`) ?? []} />
        <Part words="Chases, on and off" targets={scene()?.chases.map((chase) => `chase ${chase.name}`) ?? []} />
        <Part words="What keys do" targets={ACTIONS.map((action) => action.id)} />
      </Show>
      <p class="saying small bright" role="status">
        {midiWrong()}
      </p>
    </section>
  );
}

/** Who is there, and who was. */
function Heard() {
  return (
    <div role="status">
      <For each={controllers()} fallback={<p class="saying small">Listening. No controller is plugged in; one that comes is heard by itself.</p>}>
        {(it) => (
          <p class="saying small" classList={{ bright: !it.there }}>
            {it.there ? `Listening to ${it.name}.` : `${it.name} is unplugged. It is heard again by itself once it is back.`}
          </p>
        )}
      </For>
    </div>
  );
}

function Part(props: { words: string; targets: readonly string[] }) {
  return (
    <Show when={props.targets.length > 0}>
      <h3 class="fact">{props.words}</h3>
      <ul class="key-rows">
        <For each={props.targets}>{(target) => <Target target={target} />}</For>
      </ul>
    </Show>
  );
}

function Target(props: { target: string }) {
  const open = () => learning() === props.target;
  const name = () => (/^(look|chase) /.test(props.target) ? capital(props.target.slice(props.target.indexOf(' ') + 1)) : sayTarget(props.target));
  return (
    <li data-target={props.target}>
      <button type="button" class="key-row wide" aria-expanded={open()} onClick={() => setLearning(open() ? null : props.target)}>
        <span>{name()}</span> <span class="key-name">{boundWords(props.target) || 'not bound'}</span>
      </button>
      <Show when={open()}>
        <div class="key-editor">
          <p class="saying small bright" role="status">
            {props.target === MASTER ? 'Move the fader or knob for it.' : 'Press the pad or key for it.'}
          </p>
          <div class="acts">
            <Show when={boundWords(props.target)}>
              <button type="button" class="key" onClick={() => forget(props.target)}>
                Take its control away
              </button>
            </Show>
            <button type="button" class="key" onClick={() => setLearning(null)}>
              Leave it
            </button>
          </div>
        </div>
      </Show>
    </li>
  );
}
