import { For, Show } from 'solid-js';
import { door, own } from '../door';
import { send } from '../state';
import type { CodeView, PairedView, Role } from '../wire.gen';

const MAY: Record<Role, string> = { look: 'to look', run: 'to run', make: 'to make' };
const ROLES: readonly Role[] = ['run', 'look', 'make'];

/** On the machine's own page: how others come in, and who has. */
export function Door() {
  return (
    <Show when={own() && door()}>
      {(it) => (
        <section class="door" aria-label="On the venue’s network">
          <h2 class="section">On the venue’s network</h2>
          <For each={it().says}>{(says) => <p class="fact door-says">{says}</p>}</For>
          <Show
            when={it().lan}
            fallback={<p class="fact">This page is for this machine alone. Started with --lan, it lets in phones that are paired by a code.</p>}
          >
            <p class="fact">
              <Show when={it().address} fallback="This machine had no address on a network when it started; join one and start again.">
                {(address) => (
                  <>
                    Others open <b>{address()}</b> and type a code, or scan it.
                  </>
                )}
              </Show>
            </p>
            <For each={it().codes}>{(code) => <Code code={code} />}</For>
            <div class="door-keys" role="group" aria-label="New code">
              <For each={ROLES}>
                {(role) => (
                  <button type="button" class="choice" onClick={() => send({ type: 'new_code', role })}>
                    new code {MAY[role]}
                  </button>
                )}
              </For>
            </div>
            <p class="fact caution">
              Anyone with a code can do what it gives: look, run the lights, or change the show too. A code lapses after ten
              minutes unused. Nothing on the network is encrypted: who listens in can act as a paired browser does.
            </p>
            <Show when={it().paired.length > 0} fallback={<p class="fact">No browser is paired.</p>}>
              <ul class="plain" aria-label="Paired browsers">
                <For each={it().paired}>{(one) => <Paired one={one} />}</For>
              </ul>
            </Show>
          </Show>
        </section>
      )}
    </Show>
  );
}

function Code(props: { code: CodeView }) {
  return (
    <div class="door-code">
      <Show when={props.code.qr}>
        {(qr) => (
          <svg class="door-qr" viewBox={`0 0 ${qr().side} ${qr().side}`} role="img" aria-label={`QR code ${MAY[props.code.role]}`}>
            <rect width={qr().side} height={qr().side} fill="#fff" />
            <path d={qr().path} fill="#000" />
          </svg>
        )}
      </Show>
      <p>
        <span class="label">Code {MAY[props.code.role]}</span>
        <br />
        <b class="door-letters">{props.code.code}</b>
        <br />
        <span class="fact">
          {props.code.minutes} {props.code.minutes === 1 ? 'minute' : 'minutes'} left{props.code.role === 'make' ? ', good once' : ''}
        </span>
      </p>
    </div>
  );
}

function Paired(props: { one: PairedView }) {
  return (
    <li class="door-paired">
      <span>
        <b>{props.one.name}</b> {MAY[props.one.role]}, <span class="fact">{props.one.here ? 'here now' : 'away'}, paired from {props.one.from}</span>
      </span>
      <button type="button" class="choice" aria-label={`Send away ${props.one.name}`} onClick={() => send({ type: 'send_away', id: props.one.id })}>
        send away
      </button>
    </li>
  );
}
