import { Show, type JSX } from 'solid-js';
import { back, go } from '../act';
import { keysOf, saidKeys, shortcuts } from '../mykeys';
import { now, up } from '../state';

/** Go and Back side by side. The whole block is Go; what stands inside it says what Go will do. */
export function Go(props: { describedBy?: string; hint?: boolean; children?: JSX.Element }) {
  const last = () => now.next_cue === null;
  return (
    <div class="go-row">
      <div class="go-block" classList={{ last: last() }}>
        {props.children}
        <button
          type="button"
          class="go"
          aria-describedby={props.describedBy}
          aria-keyshortcuts={shortcuts('go')}
          aria-disabled={!up() || last()}
          onClick={() => !last() && go()}
        >
          Go
        </button>
        <Show when={props.hint && keysOf('go').length > 0}>
          <span class="fact hint" aria-hidden="true">
            {saidKeys('go').replace(/^Space$/, 'space')}
          </span>
        </Show>
      </div>
      <button type="button" class="back" aria-keyshortcuts={shortcuts('back')} aria-disabled={!up() || now.cue === null} onClick={back}>
        Back
      </button>
    </div>
  );
}
