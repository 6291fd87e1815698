import { Show } from 'solid-js';
import { freeName } from '../../follow';
import { draft, keepAll, keepLook, openWhenCome, setDraft, setKeepAll } from '../../making';
import { held, now, scene, stage, up } from '../../state';
import { capital, lights } from '../../words';
import { Choice, Editor, Row } from './Opens';
import { Typed } from './Typed';

/** Keeps what is lit: in the look that is on, or as a new one. */
export function KeepForm(props: { close: () => void }) {
  const taken = () => scene()?.looks.map((look) => look.name) ?? [];
  const name = () => draft('keep name')?.trim() || freeName('New look', taken());
  const some = () => held().length > 0;
  const units = () => (some() && !keepAll() ? held() : null);
  const done = (kept: string) => (made: boolean) => {
    if (!made) return;
    setDraft('keep name', undefined);
    props.close();
    if (stage() === 'looks' && kept) openWhenCome('look', kept);
  };
  const keepNew = (answer?: (made: boolean) => void) => {
    const own = name();
    keepLook(own, units(), (made) => {
      answer?.(made);
      done(own)(made);
    });
  };
  return (
    <Editor label="Keep what is lit" class="keep-editor">
      <Show when={some()}>
        <Row word="keep">
          <Choice on={keepAll()} press={() => setKeepAll(true)}>
            all that is lit
          </Choice>
          <Choice on={!keepAll()} press={() => setKeepAll(false)}>
            only {lights(held())}
          </Choice>
        </Row>
      </Show>
      <div class="keep-new">
        <Typed key="keep name" label="as a new look, called" value="" placeholder={freeName('New look', taken())} wide enter take={(_, answer) => keepNew(answer)} />
        <button type="button" class="key" aria-disabled={!up()} onClick={() => up() && keepNew()}>
          Keep it new
        </button>
      </div>
      <Show when={now.look !== null && (keepAll() || !some())}>
        <div class="keep-old">
          <button type="button" class="key" aria-disabled={!up()} onClick={() => now.look !== null && keepLook(now.look, null, done(''))}>
            Keep it in {capital(now.look ?? '')}
          </button>
          <span class="fact">in place of what that look was</span>
        </div>
      </Show>
    </Editor>
  );
}
