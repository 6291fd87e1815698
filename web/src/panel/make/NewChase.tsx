import { For, Show } from 'solid-js';
import { freeName } from '../../follow';
import { change, closeField, draft, newSteps, openWhenCome, setDraft, setNewSteps } from '../../making';
import { lookOf, scene, up } from '../../state';
import { capital, count } from '../../words';
import { Act } from './Acts';
import { LookChoices } from './LookChoices';
import { Editor } from './Opens';
import { Typed } from './Typed';

/** A new chase: its looks tapped in order. Times can be said once it is there. */
export function NewChase() {
  const usual = () => freeName('New chase', scene()?.chases.map((chase) => chase.name) ?? []);
  const name = () => draft('new chase name')?.trim() || usual();
  const steps = () => newSteps().filter((step) => lookOf(step));
  const many = () => steps().length > 0;
  const make = (answer?: (done: boolean) => void) => {
    if (!many()) return answer?.(false);
    const own = name();
    change({ type: 'chase_add', name: own, steps: [...steps()], values: { step_time: '4 beats', step_fade: '2 beats' } }, (done) => {
      answer?.(done);
      if (!done) return;
      setDraft('new chase name', undefined);
      setNewSteps([]);
      closeField();
      openWhenCome('chase', own);
    });
  };
  return (
    <Editor label="New chase" class="new-editor">
      <Typed key="new chase name" label="called" value="" placeholder={usual()} wide enter take={(_, answer) => make(answer)} />
      <p class="fact">Tap its looks in order; one may come more than once.</p>
      <LookChoices
        chosen={(look) => steps().includes(look)}
        press={(look) => setNewSteps([...steps(), look])}
        counted={(look) => steps().flatMap((step, i) => (step === look ? [i + 1] : [])).join(', ')}
      />
      <Show when={many()}>
        <p class="saying small">
          <For each={steps()}>
            {(step, i) => (
              <>
                {i() > 0 ? ', then ' : ''}
                <span class="colour" style={{ '--colour': lookOf(step)?.colours[0] ?? 'transparent' }}>
                  {step}
                </span>
              </>
            )}
          </For>
          .
        </p>
      </Show>
      <div class="acts">
        <button type="button" class="key" aria-disabled={!up() || !many()} onClick={() => make()}>
          {many() ? `Make it, ${count(steps().length)} ${steps().length === 1 ? 'step' : 'steps'}` : 'Make it'}
        </button>
        <Show when={many()}>
          <Act press={() => setNewSteps(steps().slice(0, -1))}>One step back</Act>
        </Show>
      </div>
      <span class="fact">{capital('a step every 4 beats, fading over 2, to begin with.')}</span>
    </Editor>
  );
}
