import { For, Show } from 'solid-js';
import { beginSigns, doing, goTo, nextLight, openLight, openPanel, signsOffered, skipSigns, toNextLight, undoSight } from '../sight';
import { scene, up } from '../state';
import type { SightView, SightingView, UnitView } from '../wire.gen';
import { centimetres, keepUnits, the } from '../words';
import { Great } from './Sight';

/** One head: what is known of it, what to do next, its marks and its sights. */
export function SightChoose(props: { unit: UnitView }) {
  const view = () => props.unit.sighting as SightingView;
  const signs = () => signsOffered(props.unit) && view().sights.length === 0;
  const wrong = () => view().sights.some((sight) => sight.wrong);
  return (
    <div class="sight">
      <div class="sight-words">
        <p class="label">
          Light {props.unit.number}, {props.unit.kind} on {the(props.unit.place)}
        </p>
        <h1 class="title">{signs() ? 'First, which way does it turn?' : view().enough ? 'It is known well enough' : 'Sight it in'}</h1>
        <div aria-live="polite">
          <Show when={doing()?.says}>{(said) => <p class="saying small">{keepUnits(said())}</p>}</Show>
          <Show
            when={!signs()}
            fallback={
              <p class="saying small">
                It moves a little, first by pan, then by tilt. You say which way the spot went. Two minutes, once for each light, and no
                motor that runs backwards is left to puzzle over.
              </p>
            }
          >
            <For each={view().says.filter((said) => said !== doing()?.says)}>
              {(said, i) => <p class="saying small" classList={{ bright: i() === 0 }}>{keepUnits(said)}</p>}
            </For>
          </Show>
        </div>
        <Show when={wrong()}>
          <Sights view={view()} />
        </Show>
        <Marks view={view()} />
        <Show when={!wrong()}>
          <Sights view={view()} />
        </Show>
        <Signs unit={props.unit} />
        <Motors unit={props.unit} />
      </div>
      <Next view={view()} signs={signs()} />
    </div>
  );
}

/** What comes next, as the great key. */
function Next(props: { view: SightingView; signs: boolean }) {
  const all = { words: 'All heads', press: () => openLight(null) };
  const mark = () => props.view.next_mark ?? scene()?.room.marks[0]?.name;
  return (
    <Show
      when={props.signs}
      fallback={
        <Show
          when={props.view.enough || !mark()}
          fallback={<Great words={`Go to ${the(mark() ?? '')}`} press={() => goTo(mark() ?? '')} beside={all} />}
        >
          <Great
            words={nextLight() ? `Next, light ${nextLight()?.number}` : 'Done'}
            fact={nextLight()?.kind ?? 'every head is known well enough'}
            press={toNextLight}
            beside={all}
          />
        </Show>
      }
    >
      <Great words="Light it" fact="and watch where its spot is" press={beginSigns} beside={{ words: 'Skip this', press: skipSigns }} />
    </Show>
  );
}

/** The marks, the suggested one first, each with what is expected there. */
function Marks(props: { view: SightingView }) {
  const rows = () => {
    const all = (scene()?.room.marks ?? []).map((mark, i) => ({
      name: mark.name,
      expected: props.view.expected_cm[i],
      spot: props.view.spot_cm[i],
      sighted: props.view.sights.some((sight) => sight.mark === mark.name && !sight.wrong),
    }));
    return [...all.filter((row) => row.name === props.view.next_mark), ...all.filter((row) => row.name !== props.view.next_mark)];
  };
  const solved = () => props.view.expected_cm.length > 0;
  return (
    <Show when={rows().length > 0} fallback={<p class="saying small soft">This room has no marks yet. Name a few places in the show, then sight in on them.</p>}>
      <h2 class="section">Marks</h2>
      <ul class="plain">
        <For each={rows()}>
          {(row) => (
            <li>
              <button type="button" class="sight-mark" aria-disabled={!up()} onClick={() => goTo(row.name)}>
                <span class="sight-mark-name">
                  {row.name}
                  <Show when={row.name === props.view.next_mark}>
                    <span class="fact">, next</span>
                  </Show>
                  <Show when={row.sighted}>
                    <span class="fact">, sighted</span>
                  </Show>
                </span>
                <Show when={solved()}>
                  <span class="fact">
                    <Show when={row.expected !== null && row.expected !== undefined} fallback="out of reach">
                      within <b>{centimetres(row.expected ?? 0)}</b>
                      <Show when={row.spot !== null && row.spot !== undefined}>, spot {centimetres(row.spot ?? 0)}</Show>
                    </Show>
                  </span>
                </Show>
              </button>
            </li>
          )}
        </For>
      </ul>
      <Show when={solved()}>
        <p class="fact">
          Within: as far as the beam may be off there, 19 times of 20. Spot: from its middle to where it has half its light.
        </p>
      </Show>
    </Show>
  );
}

/** The sights, in order; those that do not fit are marked, and each can be done again. */
function Sights(props: { view: SightingView }) {
  return (
    <Show when={props.view.sights.length > 0}>
      <h2 class="section">Sights</h2>
      <ol class="plain">
        <For each={props.view.sights}>
          {(sight, i) => (
            <li class="sight-done" classList={{ wrong: sight.wrong }}>
              <Show when={sight.wrong}>
                <svg class="shape" viewBox="0 0 16 16" aria-hidden="true">
                  <path d="M8 2 15 14H1z" />
                </svg>
              </Show>
              <span>
                {sight.mark ?? 'a point'}
                <span class="fact">{missed(sight)}</span>
              </span>
              <Show when={sight.mark}>
                {(mark) => (
                  <button type="button" class="handle" aria-disabled={!up()} aria-label={`Do ${mark()} again`} onClick={() => goTo(mark())}>
                    Again
                  </button>
                )}
              </Show>
              <Show when={i() === props.view.sights.length - 1}>
                <button type="button" class="handle" aria-disabled={!up()} onClick={undoSight}>
                  Take back
                </button>
              </Show>
            </li>
          )}
        </For>
      </ol>
    </Show>
  );
}

function missed(sight: SightView): string {
  const off = sight.miss_cm === null ? '' : `, ${centimetres(sight.miss_cm)} off`;
  return sight.wrong ? `${off}; does not fit the others, left out` : off;
}

/** What the sign check found, and a way to it at any time. */
function Signs(props: { unit: UnitView }) {
  return (
    <>
      <h2 class="section">Which way it turns</h2>
      <p class="saying small sight-line">
        <span>{{ 'not watched': 'Nobody has watched it yet.', backwards: 'Backwards from the plan; that is put right.' }[known(props.unit)] ?? 'As the plan says.'}</span>
        <button type="button" class="handle" aria-disabled={!up()} onClick={beginSigns}>
          {known(props.unit) === 'not watched' ? 'Watch it' : 'Watch it again'}
        </button>
      </p>
    </>
  );
}

const known = (unit: UnitView): string => unit.sighting?.signs ?? '';

function Motors(props: { unit: UnitView }) {
  return (
    <>
      <h2 class="section">How fast it is</h2>
      <div class="saying small sight-line">
        <span>
          <p>{motor('Pan', props.unit.sighting?.pan_time_s ?? null, props.unit.sighting?.times_from[0])}</p>
          <p>{motor('Tilt', props.unit.sighting?.tilt_time_s ?? null, props.unit.sighting?.times_from[1])}</p>
        </span>
        <button type="button" class="handle" onClick={() => openPanel('time')}>
          Time it
        </button>
      </div>
    </>
  );
}

/** 'Pan 2.4 s from end to end, by the stopwatch.' */
export function motor(axis: string, seconds: number | null, from: string | undefined): string {
  if (seconds === null) return `${axis}: not known.`;
  const source = { stopwatch: 'by the stopwatch', profile: 'from its profile', assumed: 'assumed' }[from ?? ''] ?? from ?? '';
  return `${axis}: ${seconds.toFixed(1)}\u00a0s from end to end, ${source}.`;
}
