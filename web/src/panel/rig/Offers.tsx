import { createSignal, For, Show } from 'solid-js';
import { canMake, change, setRefusal, refusal } from '../../making';
import { scene, up } from '../../state';
import type { OfferView } from '../../wire.gen';
import { capital, lights } from '../../words';

const KEPT = 'lanthorn offers left';

/** The descriptions that this browser has left as they are, by their identity: another one is told again. */
const [left, setLeft] = createSignal<readonly string[]>(read());

function read(): string[] {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(KEPT) ?? '[]');
    return Array.isArray(kept) ? kept.filter((one) => typeof one === 'string') : [];
  } catch {
    return [];
  }
}

function leave(identity: string): void {
  const next = [...new Set([...left(), identity])].slice(-100);
  setLeft(next);
  try {
    localStorage.setItem(KEPT, JSON.stringify(next));
  } catch {
    // A browser that keeps nothing tells it again next time.
  }
}

/** What the library describes otherwise than the show: told, compared, and taken or left. Nothing changes by itself. */
export function Offers() {
  const open = () => (canMake() ? (scene()?.offers ?? []).filter((one) => !left().includes(one.identity)) : []);
  return (
    <Show when={open().length > 0}>
      <ul class="plain offers" aria-label="Other descriptions of lights">
        <For each={open()}>{(one) => <Offer offer={one} />}</For>
      </ul>
    </Show>
  );
}

function Offer(props: { offer: OfferView }) {
  const [shown, setShown] = createSignal(false);
  const count = () => (props.offer.differences.length === 1 ? 'one difference' : `${props.offer.differences.length} differences`);
  const field = () => `offer ${props.offer.name}`;
  const take = () => {
    if (!up()) return;
    change({ type: 'profile_take', name: props.offer.name, identity: props.offer.identity }, (done) => {
      if (!done) setRefusal({ field: field(), says: refusal()?.says ?? 'It could not be taken.' });
    });
  };
  return (
    <li class="offer">
      <button type="button" class="offer-line" aria-expanded={shown()} onClick={() => setShown(!shown())}>
        <span>
          {props.offer.own ? 'Your own folder has another description of ' : 'The library has another description of '}
          <b>{props.offer.name}</b>: {count()}
        </span>
      </button>
      <Show when={shown()}>
        <div class="editor" role="group" aria-label={`Another description of ${props.offer.name}`}>
          <p class="fact">
            {props.offer.lights.length > 0 ? `It concerns ${lights(props.offer.lights)}.` : 'No light of this show is of it.'} The show keeps
            its own description until you take the other. Undo takes it back.
          </p>
          <ul class="differences">
            <For each={props.offer.differences}>{(one) => <li>{capital(one)}</li>}</For>
          </ul>
          <Show when={refusal()?.field === field() && refusal()}>{(why) => <p class="why">{why().says}</p>}</Show>
          <div class="acts">
            <button type="button" class="key" aria-disabled={!up()} onClick={take}>
              Take it
            </button>
            <button type="button" class="key" onClick={() => leave(props.offer.identity)}>
              Leave it
            </button>
          </div>
        </div>
      </Show>
    </li>
  );
}
