import { Match, Switch } from 'solid-js';

/** A light as it is drawn on plans: one stroke on a 32 box. Always beside its words. */
export function Symbol(props: { kind: string }) {
  return (
    <svg class="symbol" viewBox="0 0 32 32" aria-hidden="true">
      <Switch fallback={<path d="M8 10h16v9a8 8 0 0 1-16 0z" />}>
        <Match when={props.kind === 'wash_head'}>
          <path d="M5 17V9h22v8" />
          <circle cx="16" cy="18" r="7.5" />
        </Match>
        <Match when={props.kind === 'spot_head'}>
          <path d="M5 17V9h22v8" />
          <circle cx="16" cy="18" r="7.5" />
          <circle cx="16" cy="18" r="2.8" class="filled" />
        </Match>
        <Match when={props.kind === 'bar'}>
          <path d="M3 12h26v8H3zM9.5 12v8M16 12v8M22.5 12v8" />
        </Match>
        <Match when={props.kind === 'strobe'}>
          <path d="M5 11h22v11H5zM11 14v5M16 14v5M21 14v5" />
        </Match>
        <Match when={props.kind === 'hazer'}>
          <path d="M6 15h20v10H6zM8 10c3-4 5 3 8 0s5 3 8 0" />
        </Match>
        <Match when={props.kind === 'dimmer'}>
          <path d="M6 8h20v16H6zM9 21 22 11" />
        </Match>
        <Match when={props.kind === 'fresnel'}>
          <path d="M8 8h16v8h2a10 10 0 0 1-20 0h2z" />
        </Match>
      </Switch>
    </svg>
  );
}
