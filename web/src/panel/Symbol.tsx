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
        <Match when={props.kind === 'profile_spot'}>
          <path d="M8 4h16v8l-4 4v11h-8V16l-4-4zM4 16h8M20 16h8" />
        </Match>
        <Match when={props.kind === 'scanner'}>
          <path d="M9 3h14v19H9zM8 29l16-4M16 22v4" />
        </Match>
        <Match when={props.kind === 'flood'}>
          <path d="M10 8h12l7 16H3zM6 18h20" />
        </Match>
        <Match when={props.kind === 'blinder'}>
          <path d="M3 9h26v14H3z" />
          <circle cx="10" cy="16" r="4.5" />
          <circle cx="22" cy="16" r="4.5" />
        </Match>
        <Match when={props.kind === 'effect'}>
          <circle cx="16" cy="12" r="7.5" />
          <path d="M24.5 18.2 28 20.8M19.2 22l1.4 4.2M12.8 22l-1.4 4.2M7.5 18.2 4 20.8" />
        </Match>
        <Match when={props.kind === 'fogger'}>
          <path d="M5 6h22v10H5z" />
          <circle cx="11" cy="25" r="3" />
          <circle cx="17.5" cy="25" r="4" />
          <circle cx="23" cy="25" r="2.4" />
        </Match>
        <Match when={props.kind === 'machine'}>
          <path d="M5 5h22v22H5zM17.6 16.9l5 2.8M14.4 17l-4.9 2.9M16 14.2V8.5" />
          <circle cx="16" cy="16" r="8.5" />
        </Match>
        <Match when={props.kind === 'fresnel'}>
          <path d="M8 8h16v8h2a10 10 0 0 1-20 0h2z" />
        </Match>
      </Switch>
    </svg>
  );
}
