// The light level map of what is on: asked of the machine once a second while somebody looks at it.
import { createEffect, createSignal, onCleanup } from 'solid-js';
import { credentials } from './door';
import { theme, up } from './state';
import type { LuxView } from './wire.gen';

/** What the map is measured on. */
export const LUX_PLANES = [
  { id: 'floor', words: 'floor', ask: 'plane=level&height=0' },
  { id: 'seated', words: 'seated faces', ask: 'plane=face&height=1.2' },
  { id: 'standing', words: 'standing faces', ask: 'plane=face&height=1.5' },
] as const;

export type LuxPlane = (typeof LUX_PLANES)[number];

/** The plane whose map is shown; `null` while there is none. */
export const [luxPlane, setLuxPlane] = createSignal<LuxPlane | null>(null);
/** The newest map. */
export const [luxMap, setLuxMap] = createSignal<LuxView | null>(null);

const EVERY_MS = 1000;

/** Keeps the map new while `shown` says that it is looked at. */
export function followLux(shown: () => boolean): void {
  createEffect(() => {
    const plane = shown() && up() ? luxPlane() : null;
    if (!plane) {
      setLuxMap(null);
      return;
    }
    let over = false;
    let pause: ReturnType<typeof setTimeout> | undefined;
    const ask = async () => {
      try {
        const answer = await fetch(`lux.json?${plane.ask}`, { cache: 'no-store', headers: credentials() });
        if (answer.ok && !over) setLuxMap((await answer.json()) as LuxView);
      } catch {
        // Out of touch: the map before stays until there is another.
      }
      if (!over) pause = setTimeout(ask, EVERY_MS);
    };
    void ask();
    onCleanup(() => {
      over = true;
      clearTimeout(pause);
    });
  });
}

/** How a band is painted: in its colour, or in dark rooms in amber alone. */
export function bandPaint(map: LuxView, band: number, amber: boolean): { colour: string | null; strength: number } {
  if (!amber) return { colour: map.bands[band]?.colour ?? null, strength: 1 };
  return { colour: null, strength: map.bands.length < 2 ? 0 : band / (map.bands.length - 1) };
}

/** In dark rooms everything is amber. */
export const inAmber = () => theme() === 'amber';
