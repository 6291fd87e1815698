// How much room the page has. page.css folds at the same figures.
import { createRoot, createSignal } from 'solid-js';

/** The room is a strip on top and the column under it. */
export const folded = matching('(max-width: 899px)');
/** Too low for every sentence: what is on is told briefly, so that Go stays in sight. */
export const low = matching('(max-height: 819px)');

function matching(query: string): () => boolean {
  return createRoot(() => {
    const media = matchMedia(query);
    const [now, set] = createSignal(media.matches);
    media.addEventListener('change', () => set(media.matches));
    return now;
  });
}
