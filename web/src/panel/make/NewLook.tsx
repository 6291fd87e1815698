import { Show } from 'solid-js';
import { freeName } from '../../follow';
import { change, closeField, draft, keepLook, openWhenCome, setDraft } from '../../making';
import { now, scene, up } from '../../state';
import { capital } from '../../words';
import { Editor } from './Opens';
import { Typed } from './Typed';

/** A new look: of what is lit now, like the one that is on, or dark. */
export function NewLook() {
  const taken = () => scene()?.looks.map((look) => look.name) ?? [];
  const usual = () => freeName('New look', taken());
  const name = () => draft('new look name')?.trim() || usual();
  const done = (own: string, answer?: (made: boolean) => void) => (made: boolean) => {
    answer?.(made);
    if (!made) return;
    setDraft('new look name', undefined);
    closeField();
    openWhenCome('look', own);
  };
  const keep = (answer?: (made: boolean) => void) => keepLook(name(), null, done(name(), answer));
  const add = (like: string | null) => change({ type: 'look_add', name: name(), like }, done(name()));
  return (
    <Editor label="New look" class="new-editor">
      <Typed key="new look name" label="called" value="" placeholder={usual()} wide first enter take={(_, answer) => keep(answer)} />
      <div class="keys">
        <button type="button" class="key" aria-disabled={!up()} onClick={() => keep()}>
          Of what is lit now
        </button>
        <Show when={now.look}>
          {(on) => (
            <button type="button" class="key" aria-disabled={!up()} onClick={() => add(on())}>
              Like {capital(on())}
            </button>
          )}
        </Show>
        <button type="button" class="key" aria-disabled={!up()} onClick={() => add(null)}>
          Dark, to begin with
        </button>
      </div>
    </Editor>
  );
}
