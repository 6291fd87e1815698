// Whether the page is folded: the room a strip on top, the column under it.
import { createRoot, createSignal } from 'solid-js';

/** Below this width the page folds; page.css folds at the same. */
const media = matchMedia('(max-width: 899px)');

/** `true` while the page is folded. */
export const folded: () => boolean = createRoot(() => {
  const [now, set] = createSignal(media.matches);
  media.addEventListener('change', () => set(media.matches));
  return now;
});
