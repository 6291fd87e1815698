import { For, Show } from 'solid-js';
import {
  doing, itIsOn, known, markInHand, nextLight, nudgeSight, onlyStandIn, openLight, openPanel, PACE_MS, setAlone, setStep, step, toNextLight, undoSight,
} from '../sight';
import type { NudgeStep, UnitView } from '../wire.gen';
import { keepUnits, the } from '../words';
import { FOUR, Pads } from './Pads';
import { Great } from './Sight';

const STEPS: readonly { step: NudgeStep; word: string; about: string }[] = [
  { step: 'coarse', word: 'Coarse', about: 'about 25\u00a0cm' },
  { step: 'fine', word: 'Fine', about: 'about 3\u00a0cm' },
  { step: 'creep', word: 'Creep', about: 'least step' },
];

/** A spot is brought onto a mark: arrows as on the picture, and one great key for when it is there. */
export function SightAim(props: { unit: UnitView }) {
  const mark = () => markInHand();
  const last = () => known()?.sights.at(-1);
  return (
    <div class="sight sight-aim">
      <div class="sight-words">
        <p class="label">
          Light {props.unit.number}, {props.unit.kind} on {the(props.unit.place)}
        </p>
        <h1 class="title">{mark() ? `Bring it onto ${the(mark() ?? '')}` : 'It is on its way'}</h1>
        <p class="saying small" aria-live="polite">
          {keepUnits(doing()?.says ?? '')}{' '}
          <Show when={!onlyStandIn()}>
            <span class="soft">Watch the light in the room itself.</span>
          </Show>
        </p>
      </div>
      <div class="sight-hand">
        <div class="steps" role="radiogroup" aria-label="A press moves it">
          <For each={STEPS}>
            {(one) => (
              <button type="button" class="step" role="radio" aria-checked={step() === one.step} onClick={() => setStep(one.step)}>
                {one.word} <span class="fact">{one.about}</span>
              </button>
            )}
          </For>
        </div>
        <Pads ways={FOUR} say={(word) => `Move the spot ${word}`} press={(way) => nudgeSight(way.right, way.down)} pace={PACE_MS[step()]} />
        <Great
          words="It’s on"
          large
          fact={`light ${props.unit.number}, ${the(mark() ?? 'mark')}`}
          press={itIsOn}
          {...(last() ? { beside: { words: 'Undo sight', press: undoSight } } : {})}
        />
        <div class="sight-ways">
          <button type="button" class="handle" onClick={() => openPanel('choose')}>
            Marks
          </button>
          <button type="button" class="handle" aria-pressed={!!doing()?.alone} onClick={() => setAlone(!doing()?.alone)}>
            {doing()?.alone ? 'Others back' : 'Others dark'}
          </button>
          <button type="button" class="handle" onClick={toNextLight}>
            {nextLight() ? 'Next light' : 'All heads'}
          </button>
          <button type="button" class="handle" onClick={() => openLight(null)}>
            Done
          </button>
        </div>
      </div>
    </div>
  );
}
